"""The load of the faults' tests, through nginx: from many addresses, and most of it to be answered anew."""

from dataclasses import replace
from functools import partial
from itertools import count

from tests.faults.asks import Ask
from tests.faults.load import Connection
from tests.faults.load import loaded as loaded_by
from tests.replicas.fleet import fresh_source

MOST_FROM_ONE = 400
_numbers = count()


class Crowd(Connection):
    """Asks from a new address before a limit is reached; three of four questions are new to the cache."""

    def __init__(self, port: int, *, kept: bool) -> None:
        super().__init__(port, kept=kept)
        self._from_this_one = 0

    def ask(self, ask: Ask) -> str:
        """What became of the request."""
        if self._from_this_one == MOST_FROM_ONE:
            self.close()
        if self._connection.sock is None:
            vars(self._connection)["source_address"] = (fresh_source(), 0)  # taken when it connects
            self._from_this_one = 0
        self._from_this_one += 1
        number = next(_numbers)
        if ask.method == "GET" and number % 4:
            ask = replace(ask, path=f"{ask.path}{'&' if '?' in ask.path else '?'}_={number}")
        return super().ask(ask)


loaded = partial(loaded_by, client=Crowd)

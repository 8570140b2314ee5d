"""The client: every question is a method, and many builds go at once."""

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from itertools import islice
from typing import Any, Literal, Self, TypeVar
from urllib.parse import quote

from gearing_client.answers import Answer, Answers, Table
from gearing_client.errors import UnexpectedAnswer
from gearing_client.questions import Questions
from gearing_client.transport import Timeout, Transport

Read = TypeVar("Read")
AnAnswer = TypeVar("AnAnswer", bound=Answer)


class Client(Questions):
    """A client of one service, to be used in a ``with`` statement or closed; one client a thread.

    Requests that the service is too busy for (429, 502, 503, 504) are sent again, as many as `retries` times:
    after as long as the service asks, else after waits that double.

    Parameters
    ----------
    base_url
        The address of the service.
    timeout
        Seconds to wait for the connection and for the answer, or one number for both.
    units
        The units of bare numbers sent and of all numbers that come back.
    retries
        How often a request is sent again; 0 for never.

    Raises
    ------
    ValueError
        If the address is none of http or https.
    """

    def __init__(
        self,
        base_url: str = "http://127.0.0.1:8000",
        timeout: Timeout = (3.05, 30),
        units: Literal["us", "metric"] = "us",
        retries: int = 5,
    ) -> None:
        self.units = units
        self._transport = Transport(base_url, timeout, retries)

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def close(self) -> None:
        """Close the connections."""
        self._transport.close()

    def ask(self, question: str, build: Mapping[str, object]) -> Answer:
        """One question about a build that may have more fields than the question needs.

        Parameters
        ----------
        question
            Its name in an address, such as ``final-drive``.
        build
            Values by name of field; None is not given.

        Raises
        ------
        GearingError
            One of its kinds; `InvalidBuild` names the fields that are missing or refused.
        """
        return self._answer(Answer, question, build)

    def batch(self, question: str, columns: Mapping[str, object]) -> Answers:
        """One question about many builds.

        Parameters
        ----------
        question
            Its name in an address, such as ``final-drive``.
        columns
            Values by name of field: a list has one value a build, anything else is the same for all. A field
            that is itself a list is the same for all as text, ``"4.46,2.61"``. None is not given.

        Raises
        ------
        GearingError
            One of its kinds; a build that is refused is no exception, but stands in ``errors``.
        """
        return self._many(f"/v1/{quote(question, safe='')}/batch", {"columns": dict(columns)})

    def iter_batches(
        self, question: str, rows: Iterable[Mapping[str, object]], size: int = 10_000
    ) -> Iterator[tuple[list[Mapping[str, object]], Answers]]:
        """One question about any number of builds: each time up to `size` of them, and the answers.

        Parameters
        ----------
        question
            Its name in an address, such as ``final-drive``.
        rows
            Builds, each with values by name of field; what is missing, None or empty text is not given.
        size
            Builds a request; the ``index`` of an error counts within them.

        Raises
        ------
        GearingError
            As `batch`.
        """
        remaining = iter(rows)
        while builds := list(islice(remaining, size)):
            names = dict.fromkeys(name for build in builds for name in build)
            columns = {name: [build.get(name) for build in builds] for name in names}
            yield builds, self.batch(question, columns)

    def compare(
        self,
        build: Mapping[str, object],
        vary: Mapping[str, Sequence[object]],
        report: Sequence[str],
        sort: str | None = None,
        limit: int | None = None,
    ) -> Answers:
        """Every combination of the varied fields, the first slowest: their values, then the results.

        Parameters
        ----------
        build
            The fields that all have in common.
        vary
            The values of each field that varies.
        report
            Names of results, of any questions.
        sort
            A column to sort by, with - before it for descending order.
        limit
            The most rows wanted.

        Raises
        ------
        GearingError
            One of its kinds; a combination that is refused is no exception, but stands in ``errors``.
        """
        asked = _given({"sort": sort, "limit": limit})
        plan = {"build": dict(build), "vary": dict(vary), "report": list(report), **asked}
        return self._many("/v1/comparison", plan)

    def table(self, name: str) -> Table:
        """A table that answers rest on, such as ``surfaces``; the glossary is ``fields`` and ``results``.

        Raises
        ------
        GearingError
            One of its kinds; `ServiceProblem` with status 404 where there is no such table.
        """
        return _read(Table.read, self._transport.get(f"/v1/tables/{quote(name, safe='')}"))

    def _answer(self, kind: type[AnAnswer], question: str, build: Mapping[str, object]) -> AnAnswer:
        body = {"units": self.units, **_given(build)}
        return _read(kind.read, self._transport.post(f"/v1/{quote(question, safe='')}", body))

    def _many(self, path: str, body: Mapping[str, object]) -> Answers:
        return _read(Answers.read, self._transport.post(path, {**body, "units": self.units}))


def _given(fields: Mapping[str, object]) -> dict[str, object]:
    return {name: value for name, value in fields.items() if value is not None}


def _read(reader: Callable[[dict[str, Any]], Read], document: dict[str, Any]) -> Read:
    try:
        return reader(document)
    except (AttributeError, KeyError, TypeError, ValueError) as error:
        raise UnexpectedAnswer(f"the answer is not of this service: {error!r}") from error

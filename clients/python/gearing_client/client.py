"""The client: every question is a method, and many builds go at once."""

import os
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from itertools import islice
from typing import TYPE_CHECKING, Any, Literal, Self, TypeVar, overload
from urllib.parse import quote, urlencode

import requests

from gearing_client import frames
from gearing_client.answers import Answer, Answers, Table
from gearing_client.errors import UnexpectedAnswer
from gearing_client.questions import Questions
from gearing_client.shortlists import Shortlist
from gearing_client.transport import LONGEST_WAIT, OnWait, Timeout, Transport

if TYPE_CHECKING:
    from pandas import DataFrame

Read = TypeVar("Read")
AnAnswer = TypeVar("AnAnswer", bound=Answer)


class Client(Questions):
    """A client of one service, to be used in a ``with`` statement or closed; one client a thread.

    Requests that the service is too busy for (429, 502, 503, 504) are sent again, as many as `retries` times:
    after as long as the service asks, else after waits that double. Each wait is logged as a warning of
    ``gearing_client`` and told to `on_wait`.

    Parameters
    ----------
    base_url
        The address of the service; if not given that in the environment variable ``GEARING_SERVICE``.
    timeout
        Seconds to wait for the connection and for the answer, or one number for both.
    units
        The units of bare numbers sent and of all numbers that come back.
    retries
        How often a request is sent again; 0 for never.
    longest_wait
        Seconds that all waits for one answer may take together.
    on_wait
        Called before each wait with its seconds and the reason.
    session
        A session of requests to use, with its proxies and certificates; it stays open.
    headers
        Headers to send besides.

    Raises
    ------
    ValueError
        If the address is none of http or https.
    """

    def __init__(
        self,
        base_url: str | None = None,
        timeout: Timeout = (3.05, 30),
        units: Literal["us", "metric"] = "us",
        retries: int = 5,
        *,
        longest_wait: float = LONGEST_WAIT,
        on_wait: OnWait | None = None,
        session: requests.Session | None = None,
        headers: Mapping[str, str] | None = None,
    ) -> None:
        self.units = units
        address = os.environ.get("GEARING_SERVICE", "http://127.0.0.1:8000") if base_url is None else base_url
        self._transport = Transport(address, timeout, retries, longest_wait, on_wait, session, headers)

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def close(self) -> None:
        """Close the connections."""
        self._transport.close()

    def ask(self, question: str, build: Mapping[str, object], *, bands: bool = False) -> Answer:
        """One question about a build that may have more fields than the question needs.

        Parameters
        ----------
        question
            Its name in an address, such as ``final-drive``.
        build
            Values by name of field; None is not given.
        bands
            Whether the answer has `ranges`, `drivers` and `shares`.

        Raises
        ------
        GearingError
            One of its kinds; `InvalidBuild` names the fields that are missing or refused.
        """
        return self._answer(Answer, question, build, bands)

    def text(self, question: str, build: Mapping[str, object], suffix: str = "txt", **options: str) -> str:
        """The answer as text: ``txt``, ``md`` or ``csv``."""
        return self._transport.text(
            "GET", f"{self._path(question, suffix)}?{self._query(build, options)}", None
        )

    def svg(
        self, question: str, build: Mapping[str, object], size: str = "800x500", theme: str = "light"
    ) -> str:
        """The chart of the answer as SVG, for questions that have one."""
        return self.text(question, build, "svg", chart_size=size, chart_theme=theme)

    def link(self, question: str, build: Mapping[str, object], suffix: str = "html") -> str:
        """The address of the answer, to be shared."""
        return f"{self._transport.base_url}{self._path(question, suffix)}?{self._query(build, {})}"

    def _path(self, question: str, suffix: str) -> str:
        return f"/v1/{quote(question, safe='')}.{quote(suffix, safe='')}"

    def _query(self, build: Mapping[str, object], options: Mapping[str, str]) -> str:
        fields = {"units": self.units, **_given(build), **options}
        return urlencode({name: _in_query(value) for name, value in fields.items()})

    @overload
    def batch(self, question: str, columns: Mapping[str, object], *, bands: bool = False) -> Answers: ...

    @overload
    def batch(self, question: str, columns: "DataFrame", *, bands: bool = False) -> "DataFrame": ...

    def batch(
        self, question: str, columns: "Mapping[str, object] | DataFrame", *, bands: bool = False
    ) -> "Answers | DataFrame":
        """One question about many builds.

        Parameters
        ----------
        question
            Its name in an address, such as ``final-drive``.
        columns
            Values by name of field: a list has one value a build, anything else is the same for all. A field
            that is itself a list is the same for all as text, ``"4.46,2.61"``. None is not given. Or a pandas
            DataFrame with a row a build; columns that are no fields are left as they are.
        bands
            Whether each number has the ends of its range behind it, as ``crawl_speed_low`` and
            ``crawl_speed_high``. The service takes fewer builds at a time then; a frame is sent in parts.

        Returns
        -------
        Answers or DataFrame
            A frame comes back with its index and columns, a column a result, `cautions` and `error`.

        Raises
        ------
        GearingError
            One of its kinds; a build that is refused is no exception, but stands in ``errors`` or `error`.
        """
        if frames.is_frame(columns):
            path = f"/v1/{quote(question, safe='')}.csv?units={self.units}{'&bands=1' * bands}"
            at_once = frames.ROWS_WITH_BANDS if bands else frames.ROWS_AT_ONCE
            return frames.answered(
                columns, question, lambda rows: self._transport.text("POST", path, rows.encode()), at_once
            )
        return self._many(f"/v1/{quote(question, safe='')}/batch", {"columns": dict(columns)}, bands)

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
        sort: str | Sequence[str] | None = None,
        limit: int | None = None,
        targets: Mapping[str, Mapping[str, object]] | None = None,
        *,
        bands: bool = False,
    ) -> Answers:
        """Every combination of the varied fields, the first slowest: their values, then the results.

        Parameters
        ----------
        build
            The fields that all have in common.
        vary
            The values of each field that varies; or choices of a part of any name, as for `shortlist`.
        report
            Names of results, of any questions.
        sort
            A column to sort by, or several, with - before it for descending order.
        limit
            The most rows wanted.
        targets
            Limits of results, as for `shortlist`: rows that miss one are left out, unless ``meets`` is reported.
        bands
            Whether each number has the ends of its range behind it, as for `batch`.

        Raises
        ------
        GearingError
            One of its kinds; a combination that is refused is no exception, but stands in ``errors``.
        """
        sorts = sort if sort is None or isinstance(sort, str) else list(sort)
        asked = _given({"sort": sorts, "limit": limit, "targets": targets})
        plan = {"build": dict(build), "vary": dict(vary), "report": list(report), **asked}
        return self._many("/v1/comparison", plan, bands)

    def shortlist(
        self,
        build: Mapping[str, object],
        among: Mapping[str, Iterable[object]],
        *,
        sums: Sequence[str] = (),
        targets: Mapping[str, Mapping[str, object]] | None = None,
        aims: Mapping[str, str] | None = None,
        show: int = 10,
        bands: bool = False,
    ) -> Shortlist:
        """Which parts together meet the targets, and what each combination gives up.

        Parameters
        ----------
        build
            The fields that all have in common.
        among
            Each key a field with its values, or a part of any name with choices: dictionaries with a ``name``,
            fields, and the numbers named in `sums`. The first choice of each is what is there now.
        sums
            Names of numbers that the choices have, to be added up, such as ``price``.
        targets
            Limits by result or sum: ``{"crawl_ratio": {"least": 50}}``, least, most or both.
        aims
            What is preferred of results and sums, ``low`` or ``high``, at most four, the first first; where not
            given, low sums.
        show
            The most rows wanted.
        bands
            Whether the first 50 rows tell in which share of draws of what varies they meet all and are best.

        Raises
        ------
        GearingError
            One of its kinds; a combination that is refused is no exception, but stands in ``errors``.
        """
        asked = {"sums": list(sums), "targets": targets, "aims": aims}
        choices = {name: list(each) for name, each in among.items()}
        plan = {"build": _given(build), "among": choices, "show": show, "units": self.units}
        plan |= {name: member for name, member in asked.items() if member}
        return _read(Shortlist.read, self._transport.post(f"/v1/shortlist{'?bands=1' * bands}", plan))

    def table(self, name: str) -> Table:
        """A table that answers rest on, such as ``surfaces``; the glossary is ``fields`` and ``results``.

        Raises
        ------
        GearingError
            One of its kinds; `ServiceProblem` with status 404 where there is no such table.
        """
        return _read(Table.read, self._transport.get(f"/v1/tables/{quote(name, safe='')}"))

    def _answer(
        self, kind: type[AnAnswer], question: str, build: Mapping[str, object], bands: bool = False
    ) -> AnAnswer:
        body = {"units": self.units, **_given(build)} | ({"bands": "1"} if bands else {})
        return _read(kind.read, self._transport.post(f"/v1/{quote(question, safe='')}", body))

    def _many(self, path: str, body: Mapping[str, object], bands: bool) -> Answers:
        whole = {**body, "units": self.units}
        return _read(Answers.read, self._transport.post(f"{path}{'?bands=1' * bands}", whole))


def _in_query(value: object) -> str:
    """A value as text; lists have commas, and points within them colons."""
    if isinstance(value, list | tuple):
        return ",".join(
            ":".join(map(str, item)) if isinstance(item, list | tuple) else str(item) for item in value
        )
    return str(value)


def _given(fields: Mapping[str, object]) -> dict[str, object]:
    return {name: value for name, value in fields.items() if value is not None}


def _read(reader: Callable[[dict[str, Any]], Read], document: dict[str, Any]) -> Read:
    try:
        return reader(document)
    except (AttributeError, KeyError, TypeError, ValueError) as error:
        raise UnexpectedAnswer(f"the answer is not of this service: {error!r}") from error

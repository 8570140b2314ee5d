"""How much of the service one client may have, and the account of each request.

A client may have so many requests and so many seconds of computing (the time of its thread on a processor) in
a sliding minute. Its requests compute one after the other in each process, each until its deadline at the
longest: long work asks between its blocks whether it may go on (`gearing_api.checkpoint`).
"""

import errno
import logging
from collections.abc import Callable, Iterable, Iterator
from math import ceil, inf
from time import monotonic, thread_time
from typing import TYPE_CHECKING, Any

from flask import Flask, Response, g, request

from gearing_api import checkpoint
from gearing_api.http import headers
from gearing_api.http.counts import WINDOW, Counts, Quota, SharedCounts, Standing
from gearing_api.http.problems import Problem
from gearing_api.http.turns import ConcurrencyLimit, Turn, Turns
from gearing_api.settings import Settings

if TYPE_CHECKING:
    from _typeshed.wsgi import StartResponse, WSGIApplication, WSGIEnvironment

UNCOUNTED = frozenset({"/healthz", "/readyz", "/metrics"})
_WORK = "gearing.work"
_BEGAN = "gearing.began"
_MUCH = 0.1
"""Seconds of computing in a minute after which a client keeps one processor busy, and no more."""

_log = logging.getLogger(__name__)


class Work:
    """The account of one request: who asks, what it has computed, what it holds, and when it must end."""

    def __init__(self, client: str, turn: Turn, limits: "_Limits", began: float, used: float) -> None:
        self.client = client
        self._used = used
        self.streams = False
        self.gate: ConcurrencyLimit | None = None
        self._turn = turn
        self._limits = limits
        self._began = began
        self._ends = monotonic() + limits.longest
        self._held: list[Callable[[], None]] = []
        self._open = True

    def start(self) -> None:
        """Begin to compute, the request being read: wait for the turn, take the place that the work needs.

        Raises
        ------
        Problem
            503 if the turn does not come in time, or there is no place.
        """
        self._take_turn()
        if self.gate is not None:
            gate, self.gate = self.gate, None
            self._held.append(gate.enter(self.client))

    def pause(self) -> None:
        """Let others of the client compute while this request waits for its reader."""
        self._turn.give()

    def go_on(self) -> None:
        """Return if this request may compute on; those of the client that wait come first.

        Raises
        ------
        Problem
            503 after the deadline, 413 if it has used a whole minute's worth of computing.
        """
        if not self._open:
            return
        if monotonic() > self._ends:
            raise self._late()
        if thread_time() - self._began > self._limits.quota.seconds:
            detail = f"This request computes for more than {self._limits.quota.seconds:g} s, all that an"
            raise Problem(413, f"{detail} address may have in a minute: ask for less at a time.")
        if not self._turn.pass_on(self._ends, self._is_much()):
            raise self._late()

    def close(self) -> None:
        """Charge the client, and give back all that is held. Once, however often it is called."""
        if self._open:
            self._open = False
            checkpoint.no_longer_ask_with(self.go_on)
            self._turn.leave()
            for leave in self._held:
                leave()
            if self._limits.counts is not None:
                self._limits.counts.charge(self.client, max(thread_time() - self._began, 0.0))

    def _take_turn(self) -> None:
        if not self._turn.take(self._ends, self._is_much()):
            raise self._late()

    def _is_much(self) -> bool:
        return self._used + thread_time() - self._began > _MUCH

    def _late(self) -> Problem:
        detail = f"This request was not answered within {self._limits.longest:g} s: it is stopped."
        return Problem(503, detail, retry_after=WINDOW)

    def pieces(self, made: Iterator[bytes]) -> Iterator[bytes]:
        """The pieces of a stream, each computed in turn. It breaks off where the work must end."""
        while True:
            try:
                self._take_turn()
                piece = next(made, None)
            except Problem as problem:
                _log.warning("An answer breaks off: %s", problem.detail)
                raise BrokenPipeError(errno.EPIPE, problem.detail) from problem
            finally:
                self._turn.give()
            if piece is None:
                return
            yield piece


class _Limits:
    """What holds for every request of this process."""

    def __init__(self, settings: Settings) -> None:
        self.longest = settings.request_seconds or inf
        self.quota = Quota(settings.requests_per_minute or inf, settings.cpu_seconds_per_minute or inf)
        self.turns = Turns(settings.at_once, settings.turns_file)
        self.counts: Counts | None = None
        if self.quota != (inf, inf):
            self.counts = SharedCounts(settings.rate_storage) if settings.rate_storage else Counts()


def limit_rate(app: Flask, settings: Settings) -> None:
    """Give each client its share of requests, of computing and of places, and tell it what is left.

    OPTIONS is free, as are the probes of those who run the service.
    """
    limits = _Limits(settings)
    policy = _written(limits.quota, limits.quota, f"w={WINDOW}", "q")

    @app.before_request
    def begin() -> None:
        environ = request.environ
        if environ["REQUEST_METHOD"] == "OPTIONS" or environ["PATH_INFO"] in UNCOUNTED:
            return
        who = client(environ.get("REMOTE_ADDR", ""))
        used = 0.0
        if limits.counts is not None:
            standing = limits.counts.admit(who, limits.quota)
            rate = _written(limits.quota, standing, f"t={ceil(standing.wait) or WINDOW}", "r")
            environ[headers.OWN] = (("RateLimit-Policy", policy), ("RateLimit", rate))
            if standing.wait:
                raise _too_much(limits.quota, standing)
            if limits.quota.seconds < inf:
                used = limits.quota.seconds - standing.seconds
        work = Work(who, limits.turns.enter(who), limits, environ[_BEGAN], used)
        g.work = environ[_WORK] = work
        checkpoint.ask_with(work.go_on)
        if environ["REQUEST_METHOD"] != "POST":  # its body comes first
            work.start()

    @app.after_request
    def finish(response: Response) -> Response:
        work = g.get("work")
        if work is not None:
            work.streams = response.is_streamed
            work.pause()
        return response

    metered = _metered(app.wsgi_app)
    app.wsgi_app = metered  # type: ignore[assignment, method-assign]  # as Flask documents it


def _too_much(quota: Quota, standing: Standing) -> Problem:
    what = f"asked {quota.requests:g} times"
    if standing.requests >= 1:
        what = f"used {quota.seconds:g} s of computing"
    wait = ceil(standing.wait)
    detail = f"This address has {what} within a minute, which is what one may: ask again in {wait} s."
    return Problem(429, detail, retry_after=wait)


def _written(quota: Quota, amounts: Any, more: str, letter: str) -> str:
    """The limits that there are, as a header's list; computing in milliseconds."""
    items = []
    if quota.requests < inf:
        items.append(f'"default";{letter}={int(amounts.requests)};{more}')
    if quota.seconds < inf:
        items.append(f'"cpu-ms";{letter}={int(amounts.seconds * 1e3)};{more}')
    return ", ".join(items)


def _metered(application: "WSGIApplication") -> "WSGIApplication":
    """The application, with the account of a request kept until its answer is sent or left."""

    def outer(environ: "WSGIEnvironment", start_response: "StartResponse") -> Iterable[bytes]:
        environ[_BEGAN] = thread_time()
        try:
            pieces = application(environ, start_response)
        except BaseException:
            if _WORK in environ:
                environ[_WORK].close()
            raise
        return _Sent(pieces, environ[_WORK]) if _WORK in environ else pieces

    return outer


class _Sent:
    """An answer on its way. The account is closed with it, or when it is dropped."""

    def __init__(self, pieces: Iterable[bytes], work: Work) -> None:
        self._whole = pieces
        self._closed = False
        self._pieces = work.pieces(iter(pieces)) if work.streams else iter(pieces)
        self._work = work

    def __iter__(self) -> Iterator[bytes]:
        return self

    def __next__(self) -> bytes:
        try:
            return next(self._pieces)
        except BaseException:
            self.close()
            raise

    def close(self) -> None:
        """Leave the answer."""
        if self._closed:
            return
        self._closed = True
        close = getattr(self._whole, "close", None)
        try:
            if close is not None:
                close()
        finally:
            self._work.close()

    def __del__(self) -> None:
        self.close()


def client(address: str) -> str:
    """Who counts as one: an IPv4 address, or the 64 bits that a network of IPv6 has."""
    if ":" not in address:
        return address
    from ipaddress import IPv6Address

    try:
        known = IPv6Address(address)
    except ValueError:
        return address
    return str(known.ipv4_mapped or IPv6Address(int(known) >> 64 << 64))

"""The client for programs that run an event loop: the same methods, each to be awaited."""

import asyncio
from collections.abc import Callable, Mapping
from concurrent.futures import ThreadPoolExecutor
from functools import partial
from threading import local
from typing import Literal, Self, TypeVar

from gearing_client.awaiting import awaited
from gearing_client.client import Client
from gearing_client.questions import AsyncQuestions
from gearing_client.transport import LONGEST_WAIT, OnWait, Timeout

Made = TypeVar("Made")


class AsyncClient(AsyncQuestions):
    """A client of one service, to be used in an ``async with`` statement or closed.

    Requests run in threads, so many at once as `at_once` says, each with a connection of its own. A request that
    is no longer awaited still runs to its end. The other parameters are those of `Client`.
    """

    def __init__(
        self,
        base_url: str | None = None,
        timeout: Timeout = (3.05, 30),
        units: Literal["us", "metric"] = "us",
        retries: int = 5,
        *,
        at_once: int = 4,
        longest_wait: float = LONGEST_WAIT,
        on_wait: OnWait | None = None,
        headers: Mapping[str, str] | None = None,
    ) -> None:
        self._make = partial(
            Client,
            base_url,
            timeout,
            units,
            retries,
            longest_wait=longest_wait,
            on_wait=on_wait,
            headers=headers,
        )
        self._here = local()
        self._make().close()  # so that an address that cannot be is refused at once
        self._clients: list[Client] = []
        self._pool = ThreadPoolExecutor(at_once, "gearing-client")

    async def __aenter__(self) -> Self:
        return self

    async def __aexit__(self, *_: object) -> None:
        await self.close()

    async def close(self) -> None:
        """Wait for the requests that run, and close the connections."""
        await asyncio.to_thread(self._pool.shutdown)
        for client in self._clients:
            client.close()

    async def _run(self, method: Callable[..., Made], *values: object, **named: object) -> Made:
        loop = asyncio.get_running_loop()
        return await loop.run_in_executor(self._pool, partial(self._call, method, *values, **named))

    def _call(self, method: Callable[..., Made], *values: object, **named: object) -> Made:
        """Call the method with the client of this thread."""
        if not hasattr(self._here, "client"):
            self._here.client = self._make()
            self._clients.append(self._here.client)
        return method(self._here.client, *values, **named)

    async def text(
        self, question: str, build: Mapping[str, object], suffix: str = "txt", **options: str
    ) -> str:
        """The answer as text, as `Client.text`."""
        return await self._run(Client.text, question, build, suffix, **options)

    ask = awaited(Client.ask)
    svg = awaited(Client.svg)
    batch = awaited(Client.batch)
    compare = awaited(Client.compare)
    shortlist = awaited(Client.shortlist)
    table = awaited(Client.table)

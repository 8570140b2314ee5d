"""A stand-in for a Matrix server: it lets a user join, tells one message in a room, and takes what is sent."""

import asyncio
import json
from types import TracebackType
from typing import Any, Self

JOINED = {"state": {"events": []}, "timeline": {"events": [], "limited": False, "prev_batch": "p"}}


class MatrixServer:
    """Speaks the few addresses of the Client-Server API that a bot needs; `sent` is what came in."""

    def __init__(self, room: str, event: dict[str, Any]) -> None:
        self._room, self._event = room, event
        self._syncs = 0
        self.sent: asyncio.Queue[dict[str, Any]] = asyncio.Queue()
        self.joined: list[str] = []
        self._connections: list[asyncio.Task[None]] = []

    async def __aenter__(self) -> Self:
        self._server = await asyncio.start_server(self._serve, "127.0.0.1", 0)
        return self

    async def __aexit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._server.close()
        for task in self._connections:
            task.cancel()
        await asyncio.gather(*self._connections, return_exceptions=True)

    @property
    def address(self) -> str:
        return f"http://127.0.0.1:{self._server.sockets[0].getsockname()[1]}"

    async def _serve(self, reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
        self._connections.append(asyncio.current_task())  # type: ignore[arg-type]
        try:
            while True:
                head = (await reader.readuntil(b"\r\n\r\n")).decode()
                length = next(
                    (
                        int(line[15:])
                        for line in head.splitlines()
                        if line.lower().startswith("content-length:")
                    ),
                    0,
                )
                body = await reader.readexactly(length)
                answer = json.dumps(await self._answer(head.split(" ", 2)[1], body)).encode()
                writer.write(
                    b"HTTP/1.1 200 OK\r\nContent-Type: application/json\r\nContent-Length: %d\r\n\r\n"
                    % len(answer)
                    + answer
                )
                await writer.drain()
        except (asyncio.IncompleteReadError, ConnectionError):
            return
        finally:
            writer.close()
            await writer.wait_closed()

    async def _answer(self, path: str, body: bytes) -> dict[str, Any]:
        if "/sync" in path:
            return await self._sync()
        if "/send/m.room.message/" in path:
            await self.sent.put(json.loads(body))
            return {"event_id": "$answer"}
        self.joined.append(path)
        return {"room_id": self._room}

    async def _sync(self) -> dict[str, Any]:
        """First nothing, then the message, then silence."""
        self._syncs += 1
        if self._syncs > 2:
            await asyncio.sleep(60)
        timeline = JOINED["timeline"] | {"events": [self._event] if self._syncs == 2 else []}
        rooms = {"join": {self._room: JOINED | {"timeline": timeline}}, "invite": {}, "leave": {}}
        return {"next_batch": f"s{self._syncs}", "rooms": rooms, "device_one_time_keys_count": {}}

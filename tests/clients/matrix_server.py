"""Two Matrix servers: a stand-in that tells one message, and one of another project in its own environment."""

import asyncio
import json
import subprocess
import time
from pathlib import Path
from types import TracebackType
from typing import Any, Self

import requests

from tests.ports import free_port

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


class RealMatrixServer:
    """A Synapse on a free port that lets anybody register."""

    def __init__(self, python: Path, folder: Path) -> None:
        self.address = f"http://127.0.0.1:{(port := free_port())}"
        self._api = f"{self.address}/_matrix/client/v3"
        server = [python, "-m", "synapse.app.homeserver", "--config-path", "server.yaml"]
        make = [*server, "--server-name", "localhost", "--generate-config", "--report-stats", "no"]
        subprocess.run(make, cwd=folder, check=True, capture_output=True, timeout=60)
        path = folder / "server.yaml"
        many = "{per_second: 1000, burst_count: 1000}"
        more = (
            "\nenable_registration: true\nenable_registration_without_verification: true\n"
            f"rc_message: {many}\nrc_registration: {many}\ntrusted_key_servers: []\n"
        )
        path.write_text(path.read_text().replace("port: 8008", f"port: {port}") + more)
        self._log = (folder / "out.log").open("wb")
        self._process = subprocess.Popen(server, cwd=folder, stdout=self._log, stderr=subprocess.STDOUT)

    def __enter__(self) -> Self:
        for _ in range(300):
            assert self._process.poll() is None, "the Matrix server ended at once"
            try:
                requests.get(f"{self.address}/_matrix/client/versions", timeout=2)
                return self
            except requests.ConnectionError:
                time.sleep(0.2)
        raise AssertionError("the Matrix server did not start within a minute")

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._process.terminate()
        self._process.wait(30)
        self._log.close()

    def user(self, name: str) -> dict[str, str]:
        """Register a user: its id and access token."""
        document = {"username": name, "password": "a long password 1", "auth": {"type": "m.login.dummy"}}
        return self._told("POST", "/register", "", document)

    def room(self, token: str) -> str:
        """Make a room that everybody may join."""
        return str(self._told("POST", "/createRoom", token, {"preset": "public_chat"})["room_id"])

    def say(self, token: str, room: str, text: str, number: int, thread: str = "") -> str:
        """Say something, in a thread if it is named; the event."""
        content: dict[str, Any] = {"msgtype": "m.text", "body": text}
        if thread:
            content["m.relates_to"] = {"rel_type": "m.thread", "event_id": thread}
        return str(
            self._told("PUT", f"/rooms/{room}/send/m.room.message/{number}", token, content)["event_id"]
        )

    def notices(self, token: str, room: str) -> list[dict[str, Any]]:
        """What the bot said so far, the oldest first."""
        told = self._told("GET", f"/rooms/{room}/messages?dir=b&limit=50", token)
        contents = [
            event["content"] for event in reversed(told["chunk"]) if event["type"] == "m.room.message"
        ]
        return [content for content in contents if content["msgtype"] == "m.notice"]

    def _told(self, method: str, path: str, token: str, document: Any = None) -> dict[str, Any]:
        headers = {"Authorization": f"Bearer {token}"} if token else {}
        answer = requests.request(method, self._api + path, json=document, headers=headers, timeout=30)
        assert answer.ok, answer.text
        told: dict[str, Any] = answer.json()
        return told

"""A server that says what it is told to, well-formed or not: one reply a connection, then it hangs up."""

import re
import socket
import threading
from types import TracebackType
from typing import NamedTuple, Self


class Reply(NamedTuple):
    """What is said, and whether the connection then stays open in silence."""

    said: bytes
    hangs: bool = False


def reply(status: str, body: str = "", **headers: str) -> Reply:
    """A whole HTTP response; header names have _ for -."""
    told = {"Content_Type": "application/json", "Content_Length": str(len(body.encode()))} | headers
    lines = [f"{name.replace('_', '-')}: {value}" for name, value in told.items()]
    return Reply("\r\n".join([f"HTTP/1.1 {status}", *lines, "Connection: close", "", body]).encode())


class Stub:
    """Listens on a free port; `requests` is what came in. The last reply is given again and again."""

    def __init__(self, *replies: Reply) -> None:
        self.requests: list[bytes] = []
        self._replies = list(replies)
        self._ended = threading.Event()
        self._listener = socket.create_server(("127.0.0.1", 0))
        self._listener.settimeout(0.05)
        self._thread = threading.Thread(target=self._serve)

    @property
    def address(self) -> str:
        return f"http://127.0.0.1:{self._listener.getsockname()[1]}"

    def __enter__(self) -> Self:
        self._thread.start()
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._ended.set()
        self._thread.join()
        self._listener.close()

    def _serve(self) -> None:
        while not self._ended.is_set():
            try:
                connection, _ = self._listener.accept()
            except TimeoutError:
                continue
            with connection:
                connection.settimeout(5)
                self.requests.append(_request(connection))
                said, hangs = self._replies.pop(0) if len(self._replies) > 1 else self._replies[0]
                connection.sendall(said)
                if hangs:
                    self._ended.wait(5)


def _request(connection: socket.socket) -> bytes:
    """The head and the whole body of what came in."""
    came = b""
    while b"\r\n\r\n" not in came and (part := connection.recv(65536)):
        came += part
    head, _, body = came.partition(b"\r\n\r\n")
    told = re.search(rb"(?i)^content-length: *([0-9]+)", head, re.MULTILINE)
    length = int(told[1]) if told else 0
    while len(body) < length and (part := connection.recv(65536)):
        body += part
    return head + b"\r\n\r\n" + body

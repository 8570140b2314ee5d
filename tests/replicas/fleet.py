"""The system of gearing_api/server/README.md, with its start lines and its nginx configuration.

Only ports, paths and names are changed, so that it runs beside others on this machine.
"""

import http.client
import json
import os
import pwd
import re
import shlex
import shutil
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Callable, Iterator, Mapping
from contextlib import ExitStack, contextmanager, suppress
from dataclasses import dataclass
from itertools import count
from pathlib import Path
from typing import Any, NamedTuple

from tests.faults.asks import HOST
from tests.ports import free_port

PATIENCE = 60.0
DOCUMENT = Path(__file__).parents[2] / "gearing_api" / "server" / "README.md"
HERE = "127.0.0.1"

_places = count(1)


def fresh_source() -> str:
    """An address of this machine that nothing here has asked from before."""
    high, low = divmod(next(_places), 250)
    return f"127.{101 + high // 250}.{high % 250}.{1 + low}"


class Answer(NamedTuple):
    """What came back."""

    status: int
    headers: http.client.HTTPMessage
    body: bytes

    @property
    def problem(self) -> dict[str, Any]:
        """The problem document that it is."""
        assert self.headers["Content-Type"] == "application/problem+json", self
        problem: dict[str, Any] = json.loads(self.body)
        return problem


def ask(
    port: int,
    path: str,
    headers: Mapping[str, str] = {},
    *,
    method: str = "GET",
    body: bytes | None = None,
    source: str = HERE,
) -> Answer:
    """One request on a connection of its own, from an address of this machine."""
    connection = http.client.HTTPConnection(HERE, port, PATIENCE, source_address=(source, 0))
    try:
        connection.request(method, path, body, {"Host": HOST, "Connection": "close", **headers})
        with connection.getresponse() as response:
            return Answer(response.status, response.headers, response.read())
    finally:
        connection.close()


def wait_until(true: Callable[[], bool], what: str) -> None:
    """Look again and again, for long: the machine may be busy."""
    ends = time.monotonic() + PATIENCE
    while not true():
        assert time.monotonic() < ends, f"{what}: not after {PATIENCE:.0f} s"
        time.sleep(0.05)


def block(name: str) -> str:
    """The fenced block of the document that is the file of this name."""
    found = re.findall(
        rf"```\w+ {re.escape(name)}\n(.*?)```", DOCUMENT.read_text(encoding="utf-8"), re.DOTALL
    )
    assert len(found) == 1, f"{DOCUMENT.name} has {len(found)} blocks named {name}"
    return str(found[0])


def changed(text: str, changes: Mapping[str, str]) -> str:
    """The text with each of these replaced; each must stand there."""
    for old, new in changes.items():
        assert old in text, f"{DOCUMENT.name} no longer has {old!r}"
        text = text.replace(old, new)
    return text


@dataclass
class Program:
    """A program of the system, in a process group of its own."""

    command: list[str]
    environment: dict[str, str]
    port: int
    log: Path
    process: "subprocess.Popen[bytes] | None" = None

    def start(self) -> None:
        """Start it, and wait until it answers."""
        with self.log.open("ab") as log:
            self.process = subprocess.Popen(
                self.command, env=self.environment, stdout=log, stderr=log, process_group=0
            )
        wait_until(self._answers, f"{self.command} answers")

    def _answers(self) -> bool:
        assert self.process is not None
        assert self.process.poll() is None, self.log.read_text()
        with suppress(OSError):
            if "gearing_api" in self.command:
                return ask(self.port, "/readyz").status == 200
            socket.create_connection((HERE, self.port)).close()
            return True
        return False

    def running(self) -> bool:
        """Whether it has been started and has not ended."""
        return self.process is not None and self.process.poll() is None

    def signal(self, number: signal.Signals) -> None:
        """Signal its first process."""
        assert self.process is not None
        self.process.send_signal(number)

    def stop(self) -> None:
        """Ask it to end, and wait until it has."""
        self.signal(signal.SIGTERM)
        assert self.process is not None
        self.process.wait(PATIENCE)

    def kill(self) -> None:
        """End all of its processes at once."""
        if self.process is not None:
            with suppress(ProcessLookupError):
                os.killpg(self.process.pid, signal.SIGKILL)
            self.process.wait(PATIENCE)

    def workers(self) -> set[int]:
        """The processes that the first one has started."""
        assert self.process is not None
        children = Path(f"/proc/{self.process.pid}/task/{self.process.pid}/children").read_text()
        return {int(child) for child in children.split()}

    def lines(self) -> list[dict[str, Any]]:
        """What it has logged in JSON."""
        return json_lines(self.log)


def json_lines(log: Path) -> list[dict[str, Any]]:
    """The JSON objects of a log, one a line; other lines are left out."""
    return [json.loads(line) for line in log.read_text(encoding="utf-8").splitlines() if line[:1] == "{"]


@dataclass
class Fleet:
    """Redis, the instances and nginx."""

    redis: Program
    instances: list[Program]
    nginx: Program
    access_log: Path
    error_log: Path

    @property
    def port(self) -> int:
        """Where nginx listens."""
        return self.nginx.port

    def mend(self) -> None:
        """Start again what has ended."""
        for program in (self.redis, *self.instances, self.nginx):
            if not program.running():
                program.start()

    def ask(self, path: str, headers: Mapping[str, str] = {}, **more: Any) -> Answer:
        """One request through nginx."""
        return ask(self.port, path, headers, **more)

    def passed(self, source: str, count: int) -> list[dict[str, Any]]:
        """The lines that nginx has logged about an address, once there are so many: it answers first."""

        def lines() -> list[dict[str, Any]]:
            return [line for line in json_lines(self.access_log) if line["address"] == source]

        wait_until(lambda: len(lines()) >= count, f"{count} requests are logged")
        return lines()


@contextmanager
def fleet(
    folder: Path, environment: Mapping[str, str] | None = None, names: Mapping[str, str] | None = None
) -> Iterator[Fleet]:
    """The system, until the end of the block; `environment` and `names` change more of it."""
    ports = {port: str(free_port()) for port in ("6379", "8001", "8002", "80")}
    configuration = folder / "gearing.conf"
    configuration.write_text(
        changed(
            block("gearing.conf"),
            {
                "listen 80 ": f"listen {HERE}:{ports['80']} ",
                f"{HERE}:8001 ": f"{HERE}:{ports['8001']} ",
                f"{HERE}:8002 ": f"{HERE}:{ports['8002']} ",
                "/var/log/nginx/": f"{folder}/",
                "/var/cache/nginx/": f"{folder}/",
                "/run/": f"{folder}/",
                "user www-data;": f"user {pwd.getpwuid(os.getuid()).pw_name};",
                **(names or {}),
            },
        )
    )
    start = changed(
        block("gearing.sh"),
        {
            **{port: ports[port] for port in ("6379", "8001", "8002")},
            "/etc/nginx/gearing.conf": str(configuration),
            "/dev/shm/": f"{folder}/",
            "gearing-api": f"{sys.executable} -m gearing_api",
        },
    )
    exported, *commands = map(shlex.split, start.splitlines())
    assert exported.pop(0) == "export"
    settings = {name: os.environ[name] for name in os.environ if not name.startswith("GEARING_")}
    settings |= dict(pair.split("=", 1) for pair in exported)
    settings |= environment or {}
    programs = []
    for place, (port, command) in enumerate(zip(ports.values(), commands, strict=True)):
        command[0] = shutil.which(command[0], path=f"{os.environ['PATH']}:/usr/sbin") or command[0]
        programs.append(Program(command, settings, int(port), folder / f"program-{place}.log"))
    redis, *instances, nginx = programs
    nginx.command += ["-e", "stderr"]
    with ExitStack() as stack:
        for program in programs:
            stack.callback(program.kill)
            program.start()
        yield Fleet(redis, instances, nginx, folder / "gearing-access.log", folder / "gearing-error.log")

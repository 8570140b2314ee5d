"""The service as it is started by hand, for measurements and for tests of what it stands."""

import http.client
import os
import subprocess
import sys
import time
from collections.abc import Iterator, Mapping, Sequence
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass
from pathlib import Path

from tests.ports import free_port

_PATIENCE = 60.0


@dataclass(frozen=True)
class Running:
    """A service that runs: its first process, and its port on this machine."""

    process: subprocess.Popen[bytes]
    port: int

    def workers(self) -> list[int]:
        """The processes of its workers, the oldest first."""
        master = self.process.pid
        children = Path(f"/proc/{master}/task/{master}/children").read_text()
        return sorted(int(child) for child in children.split())

    def answers(self) -> bool:
        """Whether it says that it is ready."""
        connection = http.client.HTTPConnection("127.0.0.1", self.port, timeout=_PATIENCE)
        try:
            connection.request("GET", "/readyz")
            return connection.getresponse().status == 200
        except OSError:
            return False
        finally:
            connection.close()


@contextmanager
def running(
    workers: int = 1,
    before: Sequence[str] = (),
    environment: Mapping[str, str] = os.environ,
    log: Path = Path(os.devnull),
    errors: Path | None = None,
    **settings: int | str,
) -> Iterator[Running]:
    """The service, until the end of the block; `before` is a command that starts it.

    What it prints goes into `log`, its standard error into `errors` where that is given.
    """
    port = free_port()
    chosen = {f"GEARING_{name.upper()}": str(value) for name, value in settings.items()}
    serve = [sys.executable, "-m", "gearing_api", "serve", "--port", str(port), "--workers", str(workers)]
    with log.open("wb") as out, ExitStack() as stack:
        told = out if errors is None else stack.enter_context(errors.open("wb"))
        process = subprocess.Popen([*before, *serve], env={**environment, **chosen}, stdout=out, stderr=told)
    service = Running(process, port)
    try:
        ends = time.monotonic() + _PATIENCE
        while not service.answers():
            assert process.poll() is None, f"the service has ended: {log} may tell why"
            assert time.monotonic() < ends
            time.sleep(0.05)
        yield service
    finally:
        process.terminate()
        process.wait(_PATIENCE)


@contextmanager
def service(workers: int = 1, **settings: int) -> Iterator[tuple[int, list[int]]]:
    """A running service: its port, and the processes of its workers."""
    with running(workers, **settings) as started:
        yield started.port, started.workers()


def memory(process: int) -> float:
    """Resident memory, MB."""
    with open(f"/proc/{process}/statm") as statm:
        return int(statm.read().split()[1]) * os.sysconf("SC_PAGE_SIZE") / 1e6

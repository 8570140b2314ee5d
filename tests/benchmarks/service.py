"""The service as it is started by hand, for measurements."""

import http.client
import os
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager


@contextmanager
def service(workers: int = 1, **settings: int) -> Iterator[tuple[int, list[int]]]:
    """A running service: its port, and the processes of its workers."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = int(probe.getsockname()[1])
    environment = os.environ | {f"GEARING_{name.upper()}": str(value) for name, value in settings.items()}
    words = ["-m", "gearing_api", "serve", "--port", str(port), "--workers", str(workers)]
    process = subprocess.Popen([sys.executable, *words], env=environment, stderr=subprocess.DEVNULL)
    try:
        ends = time.monotonic() + 30.0
        while not _answers(port):
            assert time.monotonic() < ends
            time.sleep(0.05)
        with open(f"/proc/{process.pid}/task/{process.pid}/children") as children:
            yield port, [int(child) for child in children.read().split()]
    finally:
        process.terminate()
        process.wait(30)


def _answers(port: int) -> bool:
    try:
        connection = http.client.HTTPConnection("127.0.0.1", port)
        connection.request("GET", "/readyz")
        return connection.getresponse().status == 200
    except OSError:
        return False


def memory(process: int) -> float:
    """Resident memory, MB."""
    with open(f"/proc/{process}/statm") as statm:
        return int(statm.read().split()[1]) * os.sysconf("SC_PAGE_SIZE") / 1e6

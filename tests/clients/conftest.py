"""The service as others meet it: under gunicorn, on a free port of this machine."""

import subprocess
import sys
import time
from collections.abc import Iterator

import pytest
import requests

from tests.ports import free_port

LONGEST_START = 30.0


@pytest.fixture(scope="session")
def service() -> Iterator[str]:
    """The address of a running service."""
    port = free_port()
    command = [sys.executable, "-m", "gearing_api", "serve", "--port", str(port), "--workers", "1"]
    with subprocess.Popen(command, stderr=subprocess.DEVNULL) as process:
        address = f"http://127.0.0.1:{port}"
        try:
            wait_until_ready(address, process)
            yield address
        finally:
            process.terminate()


def wait_until_ready(address: str, process: "subprocess.Popen[bytes]") -> None:
    """Wait until a service that was just started answers."""
    end = time.monotonic() + LONGEST_START
    while time.monotonic() < end:
        assert process.poll() is None, "the service ended at once"
        try:
            if requests.get(f"{address}/readyz", timeout=1).ok:
                return
        except requests.RequestException:
            time.sleep(0.1)
    raise AssertionError(f"the service was not ready after {LONGEST_START} s")

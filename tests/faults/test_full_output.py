"""Standard output and standard error on a full disk: the service starts, answers, and stops."""

import http.client
import signal
from pathlib import Path

import pytest

from tests.benchmarks.service import running
from tests.faults.load import PATIENCE

pytestmark = pytest.mark.slow

FULL = Path("/dev/full")
QUESTION = "/v1/tyre.txt?tyre=33x12.50R15&pick=diameter"


def ask(port: int, path: str) -> tuple[int, bytes]:
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=PATIENCE)
    try:
        connection.request("GET", path)
        response = connection.getresponse()
        return response.status, response.read()
    finally:
        connection.close()


def test_answers_go_on_where_nothing_can_be_written() -> None:
    with running(workers=2, log=FULL, request_seconds=1) as service:
        answers = {ask(service.port, path) for _ in range(200) for path in (QUESTION, "/nothing")}
        assert {status for status, _ in answers} == {200, 404}
        assert (200, b"33.0") in answers
        assert service.process.poll() is None
        service.process.send_signal(signal.SIGHUP)
        assert {ask(service.port, QUESTION) for _ in range(50)} == {(200, b"33.0")}


def test_lines_that_cannot_be_written_fill_nothing_else(tmp_path: Path) -> None:
    """Standard output full, standard error in order: not a word there for each request."""
    errors = tmp_path / "errors"
    with running(log=FULL, errors=errors) as service:
        for _ in range(100):
            assert ask(service.port, QUESTION) == (200, b"33.0")
    assert "Serving on" in errors.read_text()
    assert "Traceback" not in errors.read_text()
    assert len(errors.read_text()) < 2000, errors.read_text()

"""What many tests share: the application, its client, and how pytest and hypothesis run them."""

import gc
import os
from collections.abc import Generator, Iterator
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient
from hypothesis import Phase, settings
from werkzeug.test import TestResponse

collect_ignore = ["spec/check_traffic.py"]
"""Programs that run in an environment of their own."""

# All tests ask from one address. Those about the limit set their own.
os.environ |= {
    "GEARING_REQUESTS_PER_MINUTE": "0",
    "GEARING_CPU_SECONDS_PER_MINUTE": "0",
    "GEARING_AT_ONCE": "0",
}

# Collecting makes a million objects that all stay: the search for garbage among them took an eighth of the run.
gc.set_threshold(100_000, 10, 50)

# The same builds in every run. A failing one is shown as it was found: making it smaller may take minutes and
# is asked for with --hypothesis-profile=shrink. `explore` draws other builds each time.
settings.register_profile("plain", derandomize=True, deadline=None, phases=[Phase.explicit, Phase.generate])
settings.register_profile("shrink", derandomize=True, deadline=None)
settings.register_profile("explore", derandomize=False, deadline=None, print_blob=True)
settings.load_profile("plain")


class WholeAnswers(FlaskClient):
    """A client that reads every answer to its end and closes it, as a server does."""

    def open(self, *request: Any, buffered: bool = True, **options: Any) -> TestResponse:
        """Send a request."""
        return super().open(*request, buffered=buffered, **options)


Flask.test_client_class = WholeAnswers


@pytest.fixture(scope="session")
def app() -> Flask:
    from gearing_api.app import create_app  # not needed by the process that only deals the tests out
    from gearing_api.settings import Settings

    return create_app(Settings(requests_per_minute=0, cpu_seconds_per_minute=0))


@pytest.fixture
def client(app: Flask) -> Iterator[FlaskClient]:
    with app.test_client() as client:
        yield client


def pytest_collection_finish(session: pytest.Session) -> None:
    """Leave what was collected out of every later search for garbage; refuse to compare times beside other tests."""
    gc.freeze()
    if os.environ.get("PYTEST_XDIST_WORKER_COUNT", "1") != "1" and any(
        item.get_closest_marker("alone") for item in session.items
    ):
        raise pytest.UsageError("tests marked `alone` need the whole machine: run them with -n 0")


@pytest.hookimpl(wrapper=True)
def pytest_report_to_serializable() -> Generator[None, Any, Any]:
    """Escape what UTF-8 cannot hold: a log with half a character would end the whole run."""
    return _writable((yield))


def _writable(data: Any) -> Any:
    if isinstance(data, dict):
        return {key: _writable(value) for key, value in data.items()}
    if isinstance(data, list | tuple):
        return type(data)(map(_writable, data))
    return data.encode("utf-8", "backslashreplace").decode() if isinstance(data, str) else data

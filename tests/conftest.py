"""What many tests share: the application, its client, and builds to ask about."""

import os
from collections.abc import Iterator

import pytest
from flask import Flask
from flask.testing import FlaskClient

from gearing_api.app import create_app
from gearing_api.settings import Settings

# All tests ask from one address. Those about the limit set their own.
os.environ |= {
    "GEARING_REQUESTS_PER_MINUTE": "0",
    "GEARING_CPU_SECONDS_PER_MINUTE": "0",
    "GEARING_AT_ONCE": "0",
}


@pytest.fixture(scope="session")
def app() -> Flask:
    return create_app(Settings(requests_per_minute=0, cpu_seconds_per_minute=0))


@pytest.fixture
def client(app: Flask) -> Iterator[FlaskClient]:
    with app.test_client() as client:
        yield client

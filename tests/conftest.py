"""What many tests share: the application, its client, and builds to ask about."""

import os
from collections.abc import Iterator

import pytest
from flask import Flask
from flask.testing import FlaskClient
from hypothesis import Phase, settings

from gearing_api.app import create_app
from gearing_api.settings import Settings

# All tests ask from one address. Those about the limit set their own.
os.environ["GEARING_REQUESTS_PER_MINUTE"] = "0"

# Looking for the smallest example of a failure may take minutes: `--hypothesis-profile=default` does that.
settings.register_profile("first-failure", phases=set(Phase) - {Phase.shrink, Phase.explain})
settings.load_profile("first-failure")


@pytest.fixture(scope="session")
def app() -> Flask:
    return create_app(Settings(requests_per_minute=0))


@pytest.fixture
def client(app: Flask) -> Iterator[FlaskClient]:
    with app.test_client() as client:
        yield client

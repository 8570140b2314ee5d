"""What many tests share: the application, its client, and builds to ask about."""

from collections.abc import Iterator

import pytest
from flask import Flask
from flask.testing import FlaskClient

from gearing_api.app import create_app
from gearing_api.settings import Settings


@pytest.fixture(scope="session")
def app() -> Flask:
    return create_app(Settings())


@pytest.fixture
def client(app: Flask) -> Iterator[FlaskClient]:
    with app.test_client() as client:
        yield client

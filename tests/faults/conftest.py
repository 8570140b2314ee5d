"""The requests that the fault tests ask, answered once."""

from collections.abc import Sequence

import pytest

from tests.faults.asks import Ask, mixed


@pytest.fixture(scope="session")
def asks() -> Sequence[Ask]:
    return mixed()

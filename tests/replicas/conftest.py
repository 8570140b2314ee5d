"""The system that most tests ask, and an address that nobody has asked from before."""

import resource
from collections.abc import Iterator

import pytest

from tests.replicas.fleet import Fleet, fleet, fresh_source


@pytest.fixture(scope="session", autouse=True)
def many_connections() -> None:
    """Let this process have as many open as it may."""
    _, most = resource.getrlimit(resource.RLIMIT_NOFILE)
    resource.setrlimit(resource.RLIMIT_NOFILE, (most, most))


@pytest.fixture(scope="session")
def service(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Fleet]:
    """The system as the document has it, with figures to hide."""
    folder = tmp_path_factory.mktemp("fleet")
    with fleet(folder, {"GEARING_METRICS": "1", "TMPDIR": str(folder)}) as running:
        yield running


@pytest.fixture
def source() -> str:
    """An address of this machine that is new to all limits."""
    return fresh_source()

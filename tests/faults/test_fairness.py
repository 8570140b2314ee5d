"""One client that asks as much as it may: what it costs the others."""

import subprocess
import sys

import pytest

from tests.benchmarks.service import running
from tests.faults.fairness import LIMITS, measured

pytestmark = [pytest.mark.slow, pytest.mark.alone]

FENCE = 10.0
"""How many times as long 99 of 100 light requests may take beside one client. Measured on a machine with nothing
else to do it is two to three times; there may be others on this one."""


def test_beside_one_client_the_others_are_answered() -> None:
    with running(workers=2, **LIMITS) as service:
        figures = measured(service.port, seconds=10.0)
    assert {name: dict(others) for name, (_, others) in figures.items() if set(others) != {200}} == {}
    assert {name: grown for name, (grown, _) in figures.items() if grown > FENCE} == {}


def test_no_request_costs_more_than_it_may() -> None:
    """In a process of its own: the tests' own seldom looks for memory that nothing needs any more."""
    searched = subprocess.run([sys.executable, "-m", "tests.faults.costliest", "30", "1"], check=False)
    assert searched.returncode == 0

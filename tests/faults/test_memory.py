"""The trial of memory with one worker, to which all requests go."""

import shutil

import pytest

from tests.faults.memory import MOST_PER_10_000, grown


@pytest.mark.slow
@pytest.mark.alone
@pytest.mark.skipif(not shutil.which("wrk"), reason="wrk is not installed")
def test_memory_does_not_grow_with_the_requests() -> None:
    assert max(grown(40_000, step=8_000, workers=1)) < MOST_PER_10_000

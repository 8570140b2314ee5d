"""What ranges may cost: times the plain answer, in one run."""

import pytest

from tests.benchmarks.bands import application, cost


@pytest.mark.slow
@pytest.mark.alone
@pytest.mark.parametrize(("question", "most"), [("crawl", 4.0), ("cruise", 6.0)])
def test_ranges_cost_a_few_plain_answers(question: str, most: float) -> None:
    _, ratio = cost(application(), question)
    assert ratio <= most

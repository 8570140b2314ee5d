"""What ranges cost: an answer with bands=1 as a ratio to the plain one, over the whole application in process.

python -m tests.benchmarks.bands [question ...]
"""

import sys
import time
from collections.abc import Callable
from statistics import median

from flask.testing import FlaskClient

from gearing_api.app import create_app
from gearing_api.http.pages.home import demo_query
from gearing_api.questions import QUESTIONS
from gearing_api.settings import Settings

PAIRS = 60


def application() -> FlaskClient:
    """The service in process, without limits, with nothing before it."""
    unlimited = Settings(requests_per_minute=0, cpu_seconds_per_minute=0)
    return create_app(unlimited).test_client()


def cost(client: FlaskClient, name: str) -> tuple[float, float]:
    """Milliseconds of the plain answer, and times as much with ranges; without originals. Medians of pairs."""
    query = "&".join(
        part for part in demo_query(QUESTIONS[name]).split("&") if not part.startswith("original_")
    )
    plain, banded = f"/v1/{name}?{query}", f"/v1/{name}?{query}&bands=1"
    for address in (plain, banded):
        assert client.get(address).status_code == 200
    pairs = [
        [_seconds(lambda address=address: client.get(address)) for address in (plain, banded)]
        for _ in range(PAIRS)
    ]
    return 1e3 * median(first for first, _ in pairs), median(second / first for first, second in pairs)


def _seconds(work: Callable[[], object]) -> float:
    start = time.process_time()
    work()
    return time.process_time() - start


def main() -> None:
    client = application()
    for name in sys.argv[1:] or QUESTIONS:
        milliseconds, ratio = cost(client, name)
        print(f"{name:16s} {milliseconds:7.2f} ms x {ratio:.1f}")


if __name__ == "__main__":
    main()

"""Writing a million rows: CSV as a ratio to pandas, columns of JSON as a ratio to orjson alone.

Run it on demand: ``python -m tests.benchmarks.writers``; pandas comes with the extra ``dev``. The numbers are
the results of a real comparison, to the last digit, in the blocks of the service; sides take turns in one
process and the median of the ratios of CPU time counts. pandas writes the same rows without its index.
"""

import io
import statistics
import time
from collections.abc import Callable
from typing import Any

import numpy as np
import orjson

from gearing_api.batch.comparison_plans import BLOCK, read_plan
from gearing_api.batch.comparisons import blocks, joined
from gearing_api.formats.options import OutputOptions
from gearing_api.formats.streams import columns_as_json, csv_rows, ndjson_rows

ROUNDS = 5
PLAN: dict[str, Any] = {
    "build": {"tyre": "35x12.50R17LT", "gear_ratios": [4.46, 2.61, 1.0], "peak_torque": 260},
    "vary": {
        "axle_ratio": [3 + place / 1000 for place in range(1000)],
        "idle_speed": list(range(600, 1600)),
    },
    "report": ["crawl_ratio", "crawl_speed", "crawl_tractive_force", "speed_per_1000", "top_speed",
               "cruise_engine_speed"],
}  # fmt: skip


def seconds(work: Callable[[], object]) -> float:
    """CPU time."""
    before = time.process_time()
    work()
    return time.process_time() - before


def compared(name: str, ours: Callable[[], object], other: Callable[[], object], of: str) -> None:
    """Print the ratio."""
    rounds = [(seconds(ours), seconds(other)) for _ in range(ROUNDS)]
    ratio = statistics.median(one / two for one, two in rounds)
    one, two = (statistics.median(times) for times in zip(*rounds, strict=True))
    print(f"{name:28} {one:.2f} s, {of} {two:.2f} s: {ratio:.3f} x = 1/{1 / ratio:.1f}")


def main() -> None:
    """Print the ratios."""
    import pandas

    whole = joined(blocks(read_plan(PLAN)))
    frame = pandas.DataFrame(whole.columns)

    def by_pandas() -> int:
        out = io.StringIO()
        frame.to_csv(out, index=False)
        return len(out.getvalue())

    parts = list(blocks(read_plan(PLAN)))

    def by_us() -> int:
        return sum(len(csv_rows(part.columns, {}, OutputOptions())) for part in parts)

    compared("CSV", by_us, by_pandas, "pandas")
    words = {**whole.columns, "crawl_limited_by": np.array(["engine", "grip"] * 500_000, dtype=object)}
    worded = frame.assign(crawl_limited_by=words["crawl_limited_by"])

    def with_words() -> int:
        starts = range(0, 1_000_000, BLOCK)
        parts = ({name: column[start : start + BLOCK] for name, column in words.items()} for start in starts)
        return sum(len(csv_rows(part, {}, OutputOptions())) for part in parts)

    compared(
        "CSV with a column of words", with_words, lambda: worded.to_csv(io.StringIO(), index=False), "pandas"
    )
    arrays = list(whole.columns.values())
    compared(
        "JSON columns",
        lambda: b"".join(columns_as_json({"count": whole.count}, whole.columns.items())),
        lambda: [orjson.dumps(array, option=orjson.OPT_SERIALIZE_NUMPY) for array in arrays],
        "orjson",
    )
    compared(
        "NDJSON",
        lambda: [ndjson_rows(part.columns, {}) for part in parts],
        lambda: [orjson.dumps(array, option=orjson.OPT_SERIALIZE_NUMPY) for array in arrays],
        "orjson",
    )


if __name__ == "__main__":
    main()

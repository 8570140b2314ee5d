"""A comparison of any size, written to a file block by block, on this machine or on a Dask cluster.

Each block becomes one file in a folder beside the output, written under another name first: a run that
was stopped goes on with the blocks that are missing, and a block computed twice is the same file. The
folder also keeps a mark of its plan, so that blocks of another plan are never mixed in.
"""

import hashlib
import io
import json
import os
import shutil
from collections.abc import Iterator
from concurrent.futures import FIRST_COMPLETED, Future, ProcessPoolExecutor, wait
from dataclasses import dataclass
from functools import cache
from itertools import islice
from multiprocessing import get_context
from pathlib import Path
from typing import Any

from gearing_api import __version__
from gearing_api.comparisons import BLOCK, Block, Plan, block, blocks, read_plan, told_in
from gearing_api.formats.streams import csv_heading, csv_rows, plain
from gearing_api.formats.wishes import Wishes
from gearing_api.vocabulary import Fault, Refused

FORMATS = ("csv", "parquet")
MOST_SORTED = 5_000_000
"""Rows that are sorted in memory at the most."""

_IN_FLIGHT = 4  # blocks handed out for each worker: enough to keep it busy, few enough to stay small


class SweepError(RuntimeError):
    """A sweep that cannot run as asked; says what to do."""


@dataclass(frozen=True)
class Sweep:
    """A plan on its way to a file. `text` is the plan as JSON, `size` the rows of a block."""

    text: str
    out: Path
    size: int = BLOCK

    @property
    def form(self) -> str:
        """The format, told by the name of the file.

        Raises
        ------
        SweepError
            If the name ends in none of them.
        """
        form = self.out.suffix.removeprefix(".")
        if form not in FORMATS:
            raise SweepError(f"{self.out.name}: the name of the output must end in .csv or .parquet")
        return form

    @property
    def plan(self) -> Plan:
        """The plan, read.

        Raises
        ------
        Refused
            If it is refused; a sorted plan also when it has too many rows to be sorted.
        """
        plan = _plan(self.text)
        if plan.sort is not None and plan.count > MOST_SORTED:
            raise Refused([Fault("sort", f"is done for at most {MOST_SORTED} rows: leave it out", plan.sort)])
        return plan

    @property
    def count(self) -> int:
        """How many blocks there are; a sorted plan is one."""
        return 1 if self.plan.sort is not None else -(-self.plan.rows // self.size)

    @property
    def folder(self) -> Path:
        """Where the finished blocks are kept until all are there."""
        return self.out.with_name(self.out.name + ".blocks")

    def rows(self, place: int) -> int:
        """How many rows a block has."""
        plan = self.plan
        return plan.rows if plan.sort is not None else min(self.size, plan.rows - place * self.size)

    def part(self, place: int) -> Path:
        """The file of a block."""
        return self.folder / f"{place:08d}.{self.form}"

    def missing(self) -> list[int]:
        """The blocks that are not there yet."""
        return [place for place in range(self.count) if not self.part(place).exists()]

    def prepare(self) -> None:
        """Make the folder of the blocks, or check that the one there is of this plan.

        Raises
        ------
        SweepError
            If the folder belongs to another plan, block size or version.
        """
        mark = hashlib.sha256(f"{__version__} {self.size} {self.text}".encode()).hexdigest()
        self.folder.mkdir(parents=True, exist_ok=True)
        marked = self.folder / "plan"
        if marked.exists() and marked.read_text() != mark:
            raise SweepError(
                f"{self.folder} holds blocks of another plan, block size or version: remove it, or choose "
                "another output"
            )
        _put(marked, mark.encode())

    def keep(self, place: int, content: bytes) -> None:
        """Put a finished block into its file, whole or not at all."""
        _put(self.part(place), content)

    def join(self) -> None:
        """Make the output of all blocks, in order, and remove them."""
        unfinished = self.out.with_name(self.out.name + ".unfinished")
        if self.form == "csv":
            self._join_csv(unfinished)
        else:
            self._join_parquet(unfinished)
        os.replace(unfinished, self.out)
        shutil.rmtree(self.folder)

    def _join_csv(self, target: Path) -> None:
        with target.open("wb") as out:
            out.write(csv_heading(self.plan.columns, Wishes()))
            for place in range(self.count):
                with self.part(place).open("rb") as part:
                    shutil.copyfileobj(part, out, 1 << 20)

    def _join_parquet(self, target: Path) -> None:
        from pyarrow import parquet

        with parquet.ParquetWriter(target, parquet.read_schema(self.part(0)), compression="zstd") as writer:
            for place in range(self.count):
                writer.write_table(parquet.read_table(self.part(place)))


def _put(path: Path, content: bytes) -> None:
    unfinished = path.with_name(path.name + ".unfinished")
    unfinished.write_bytes(content)
    os.replace(unfinished, path)


@cache
def _plan(text: str) -> Plan:
    return read_plan(json.loads(text))


def computed(text: str, size: int, form: str, place: int) -> bytes:
    """One block as the content of its file: pure, so that any worker may do it, and do it again."""
    plan = _plan(text)
    if plan.sort is not None:
        made = next(blocks(plan, size))
    else:
        made = block(plan, place * size, min((place + 1) * size, plan.rows))
    return csv_rows(made.columns, told_in(made), Wishes()) if form == "csv" else _parquet(made)


def _parquet(made: Block) -> bytes:
    import pyarrow
    from pyarrow import parquet

    errors = told_in(made)
    rows = len(next(iter(made.columns.values())))
    columns: dict[str, Any] = {
        name: pyarrow.array(plain(column), pyarrow.string())
        if column.dtype == object
        else pyarrow.array(column, from_pandas=True)
        for name, column in made.columns.items()
    }
    columns["error"] = pyarrow.array([errors.get(row) for row in range(rows)], pyarrow.string())
    out = io.BytesIO()
    parquet.write_table(pyarrow.table(columns), out, compression="zstd")
    return out.getvalue()


def run(sweep: Sweep, workers: int = 1, scheduler: str | None = None) -> Iterator[int]:
    """Compute what is missing and make the output; yields the rows of each block as it is finished.

    Raises
    ------
    SweepError
        If the folder of blocks belongs to another plan, or a library that is needed is not installed.
    Refused
        If the plan is refused.
    """
    sweep.prepare()
    if scheduler is not None:
        finished = _on_cluster(sweep, scheduler)
    elif workers > 1:
        finished = _in_processes(sweep, workers)
    else:
        finished = ((place, computed(sweep.text, sweep.size, sweep.form, place)) for place in sweep.missing())
    for place, content in finished:
        sweep.keep(place, content)
        yield sweep.rows(place)
    sweep.join()


def _in_processes(sweep: Sweep, workers: int) -> Iterator[tuple[int, bytes]]:
    with ProcessPoolExecutor(workers, mp_context=get_context("spawn")) as pool:
        waiting = iter(sweep.missing())
        running: dict[Future[bytes], int] = {}
        while True:
            for place in islice(waiting, workers * _IN_FLIGHT - len(running)):
                running[pool.submit(computed, sweep.text, sweep.size, sweep.form, place)] = place
            if not running:
                return
            for future in wait(running, return_when=FIRST_COMPLETED).done:
                yield running.pop(future), future.result()


def _on_cluster(sweep: Sweep, scheduler: str) -> Iterator[tuple[int, bytes]]:
    try:
        import distributed
    except ImportError as error:
        raise SweepError("a cluster needs the extra: pip install 'gearing-api[dask]'") from error
    library: Any = distributed
    with library.Client(scheduler) as client:
        waiting = iter(sweep.missing())
        places: dict[str, int] = {}
        running = library.as_completed()

        def hand_out(most: int) -> None:
            for place in islice(waiting, most):
                future = client.submit(
                    computed, sweep.text, sweep.size, sweep.form, place, pure=False, retries=5
                )
                places[future.key] = place
                running.add(future)

        hand_out(max(1, sum(client.nthreads().values())) * _IN_FLIGHT)
        for future in running:
            yield places.pop(future.key), future.result()
            future.release()
            hand_out(1)

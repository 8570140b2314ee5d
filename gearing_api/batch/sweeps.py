"""Write a comparison of any size to a file, block by block, on this machine or on a Dask cluster.

Each block becomes one file in a folder beside the output, written under another name first. A run that was
stopped continues with the blocks that are missing, and a block computed twice is the same file. The folder
also has a mark of its plan, so that blocks of two plans never mix.
"""

import hashlib
import io
import json
import os
import shutil
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass
from functools import lru_cache
from io import FileIO
from pathlib import Path
from typing import Any

from numpy.typing import NDArray

from gearing_api import __version__
from gearing_api.batch.columns import CAUTIONS
from gearing_api.batch.comparison_plans import Plan, read_plan
from gearing_api.batch.comparisons import Block, blocks, joined
from gearing_api.batch.workers import WorkError, in_processes, library, on_cluster
from gearing_api.formats.options import OutputOptions
from gearing_api.formats.streams import ERROR, csv_heading, csv_rows
from gearing_api.vocabulary import FieldError, InvalidBuild

BLOCK = 100_000
"""Rows per block: at most this many are computed again after an interruption."""

MOST_SORTED = 5_000_000
"""Most rows that are sorted in memory."""

_MOST_AT_ONCE = 1 << 30


@dataclass(frozen=True)
class Sweep:
    """A plan and the file for its rows.

    Parameters
    ----------
    text : str
        The plan as JSON.
    out : Path
        The file; the end of its name is the format.
    size : int
        Rows of a block.

    Raises
    ------
    WorkError
        If the name of the file does not end in a known format.
    InvalidBuild
        If the plan is refused; a sorted plan also when it has too many rows to be sorted.
    """

    text: str
    out: Path
    size: int = BLOCK
    version: str = __version__

    def __post_init__(self) -> None:
        if self.form not in _WRITERS:
            raise WorkError(f"{self.out.name}: the name of the output must end in .csv or .parquet")
        plan = self.plan
        if plan.at_once and plan.count > MOST_SORTED:
            raise InvalidBuild(
                [
                    FieldError(
                        "sort" if plan.sort else "limit",
                        f"is done for at most {MOST_SORTED} rows: leave it out",
                    )
                ]
            )

    @property
    def form(self) -> str:
        """The format."""
        return self.out.suffix.removeprefix(".")

    @property
    def plan(self) -> Plan:
        """The plan, read."""
        return _plan(self.text)

    @property
    def count(self) -> int:
        """How many blocks there are; a plan whose rows cannot be told apart is one."""
        return 1 if self.plan.at_once else -(-self.plan.rows // self.size)

    @property
    def folder(self) -> Path:
        """Folder of the finished blocks, until all are there."""
        return self.out.with_name(self.out.name + ".blocks")

    def rows(self, place: int) -> int:
        """Return how many rows a block has."""
        plan = self.plan
        return plan.rows if plan.at_once else min(self.size, plan.rows - place * self.size)

    def part(self, place: int) -> Path:
        """Return the file of a block."""
        return self.folder / f"{place:08d}.{self.form}"

    def missing(self) -> list[int]:
        """Return the blocks that are not finished."""
        return [place for place in range(self.count) if not self.part(place).exists()]

    def prepare(self) -> None:
        """Make the folder of the blocks, or check that the one there is of this plan.

        Raises
        ------
        WorkError
            If the folder belongs to another plan, block size or version, or a library is not installed.
        """
        if self.form == "parquet":
            library("pyarrow", "parquet")
        mark = hashlib.sha256(f"{self.version} {self.size} {self.text}".encode()).hexdigest()
        self.folder.mkdir(parents=True, exist_ok=True)
        marked = self.folder / "plan"
        if marked.exists() and marked.read_text() != mark:
            raise WorkError(
                f"{self.folder} holds blocks of another plan, block size or version: remove it, or choose "
                "another output"
            )
        _put(marked, mark.encode())

    def computed(self, place: int) -> bytes:
        """Compute the content of one block's file: a pure function, so that any worker may repeat it.

        Raises
        ------
        WorkError
            If the worker has another version, whose numbers may differ.
        """
        if self.version != __version__:
            raise WorkError(
                f"a worker has version {__version__}, this is {self.version}: install one version"
            )
        if not self.plan.at_once:
            parts = blocks(self.plan, start=place * self.size, stop=(place + 1) * self.size)
        else:
            parts = blocks(self.plan)
        if self.form == "csv":
            return b"".join(csv_rows(part.with_codes(), part.told(), OutputOptions()) for part in parts)
        return _parquet(joined(parts))

    def keep(self, place: int, content: bytes) -> None:
        """Write a finished block to its file, whole or not at all."""
        _put(self.part(place), content)

    def finish(self, place: int) -> int:
        """Compute a block, write it, and return its number."""
        self.keep(place, self.computed(place))
        return place


def _append(part: FileIO, out: FileIO) -> None:
    """Append a file to another, inside the operating system if possible, which takes half the time."""
    try:
        while os.copy_file_range(part.fileno(), out.fileno(), _MOST_AT_ONCE):
            pass
    except (AttributeError, OSError):
        shutil.copyfileobj(part, out, 1 << 20)


def _put(path: Path, content: bytes) -> None:
    with _atomic_file(path, path.parent) as unfinished:
        unfinished.write_bytes(content)


@contextmanager
def _atomic_file(path: Path, folder: Path) -> Iterator[Path]:
    """Yield a path to write to; rename it to `path` when done, or remove it on failure."""
    unfinished = folder / f"{path.name}.{os.getpid()}.unfinished"
    try:
        yield unfinished
        os.replace(unfinished, path)
    except BaseException:
        unfinished.unlink(missing_ok=True)
        raise


@lru_cache(maxsize=4)
def _plan(text: str) -> Plan:
    return read_plan(json.loads(text))


def _parquet(made: Block) -> bytes:
    import pyarrow
    from pyarrow import parquet

    told = made.told()
    columns = {name: _arrow(column) for name, column in made.with_codes().items()}
    columns[ERROR] = pyarrow.array([told.get(row) for row in range(made.count)], pyarrow.string())
    out = io.BytesIO()
    parquet.write_table(pyarrow.table(columns), out, compression="zstd")
    return out.getvalue()


def _arrow(column: NDArray[Any]) -> Any:
    import pyarrow

    if column.dtype != object:
        return pyarrow.array(column, from_pandas=True)
    cell = OutputOptions().cell
    return pyarrow.array([None if word is None else cell(word) for word in column], pyarrow.string())


def run(sweep: Sweep, workers: int = 1, scheduler: str | None = None) -> Iterator[int]:
    """Compute what is missing and write the output; yield the number of rows of each finished block.

    Raises
    ------
    WorkError
        If it cannot run, or lost its workers.
    InvalidBuild
        If the plan is refused.
    """
    sweep.prepare()
    finished = _compute(sweep, workers, scheduler)
    with (
        _atomic_file(sweep.out, sweep.folder) as unfinished,
        _WRITERS[sweep.form](unfinished, sweep.plan) as append,
    ):
        joined = _join(sweep, 0, append)
        for place in finished:
            joined = _join(sweep, joined, append)
            yield sweep.rows(place)
    shutil.rmtree(sweep.folder)


def _compute(sweep: Sweep, workers: int, scheduler: str | None) -> Iterator[int]:
    """Compute and write the blocks that are missing; yield each block's number."""
    if scheduler is None:
        for place, _ in in_processes(sweep.finish, sweep.missing(), workers):
            yield place
    else:
        for place, content in on_cluster(sweep.computed, sweep.missing(), scheduler):
            sweep.keep(place, content)
            yield place


def _join(sweep: Sweep, place: int, append: Callable[[Path], None]) -> int:
    """Append the finished blocks that follow without a gap, and return the first that is missing.

    The output grows while other blocks are computed, and is written again after an interruption.
    """
    while place < sweep.count and sweep.part(place).exists():
        append(sweep.part(place))
        place += 1
    return place


@contextmanager
def _csv_file(path: Path, plan: Plan) -> Iterator[Callable[[Path], None]]:
    with path.open("wb", buffering=0) as out:
        out.write(csv_heading([*plan.columns, CAUTIONS], OutputOptions()))

        def append(part: Path) -> None:
            with part.open("rb", buffering=0) as block:
                _append(block, out)

        yield append


@contextmanager
def _parquet_file(path: Path, plan: Plan) -> Iterator[Callable[[Path], None]]:
    from pyarrow import parquet

    with ExitStack() as opened:
        writers: list[Any] = []

        def append(part: Path) -> None:
            table = parquet.read_table(part)
            if not writers:
                writer = parquet.ParquetWriter(path, table.schema, compression="zstd")
                writers.append(opened.enter_context(writer))
            writers[0].write_table(table)

        yield append


_WRITERS = {"csv": _csv_file, "parquet": _parquet_file}

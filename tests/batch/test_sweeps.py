"""A comparison of any size into a file: the service's numbers, whatever happens on the way."""

import contextlib
import json
import os
import pty
import re
import resource
import shlex
import signal
import subprocess
import sys
import termios
import time
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from flask.testing import FlaskClient

from gearing_api.__main__ import main
from gearing_api.batch.comparison_plans import read_plan
from gearing_api.batch.comparisons import blocks, joined
from gearing_api.batch.sweeps import Sweep, run
from gearing_api.batch.workers import WorkError
from gearing_api.vocabulary import InvalidBuild

PLAN: dict[str, Any] = {
    "build": {"tyre": "35x12.50R17LT", "gear_ratios": [4.46, 2.61], "peak_torque": 260, "vehicle_mass": 5300},
    "vary": {
        "axle_ratio": [3.07, 3.31, 3.55, 3.73, 4.1, 4.56, 4.88],
        "transfer_ratios": [[1, 2.0], "1,2.72", [1, 4]],
        "idle_speed": [600, 700, 1500],
        "redline_speed": [5000, 1200],
        "surface": ["ice", "dry-earth"],
    },
    "report": ["top_speed", "crawl_ratio", "engine_grade_percent", "crawl_limited_by"],
}
ROWS = 7 * 3 * 3 * 2 * 2

BIG = PLAN | {
    "vary": {"axle_ratio": [3 + place / 1000 for place in range(1000)], "idle_speed": list(range(600, 1600))},
    "report": ["crawl_ratio", "crawl_speed", "climbable_grade_percent", "top_speed"],
}


def sweep(tmp_path: Path, plan: Any = PLAN, name: str = "out.csv", size: int = 50) -> Sweep:
    return Sweep(json.dumps(plan), tmp_path / name, size)


def made(of: Sweep, workers: int = 1, scheduler: str | None = None) -> bytes:
    list(run(of, workers, scheduler))
    return of.out.read_bytes()


def command(tmp_path: Path, plan: Any, *more: str, name: str = "out.csv") -> list[str]:
    written = tmp_path / "plan.json"
    written.write_text(plan if isinstance(plan, str) else json.dumps(plan), encoding="utf-8")
    return ["sweep", str(written), "--out", str(tmp_path / name), *more]


class TestOutput:
    @pytest.mark.parametrize("sort", [None, "crawl_ratio", "-engine_grade_percent"])
    @pytest.mark.parametrize("limit", [None, 77])
    def test_csv_is_the_service_s_to_the_last_bit(
        self, client: FlaskClient, tmp_path: Path, sort: str | None, limit: int | None
    ) -> None:
        plan = PLAN | {"sort": sort, "limit": limit}
        served = client.post("/v1/comparison.csv", json=plan)
        assert made(sweep(tmp_path, plan)) == served.data
        assert served.data.count(b"\r\n") == (limit or ROWS) + 1

    def test_blocks_and_workers_change_nothing(self, tmp_path: Path) -> None:
        whole = made(sweep(tmp_path, size=10_000))
        for size in (1, 49, 251, ROWS):
            assert made(sweep(tmp_path, size=size)) == whole
        assert made(sweep(tmp_path, size=20), workers=2) == whole
        assert made(sweep(tmp_path, size=20), workers=3) == whole

    @pytest.mark.slow
    @pytest.mark.parametrize("sort", [None, "-crawl_ratio"])
    def test_parquet_is_the_same_table(self, tmp_path: Path, sort: str | None) -> None:
        from pyarrow import parquet

        plan = PLAN | {"sort": sort}
        made(sweep(tmp_path, plan, "out.parquet"), workers=1)
        table = parquet.read_table(tmp_path / "out.parquet")
        whole = joined(blocks(read_plan(plan)))
        assert table.column_names == [*whole.columns, "cautions", "error"]
        for name, column in whole.columns.items():
            values = table.column(name).to_pylist()
            if column.dtype == float:
                assert values == [None if np.isnan(value) else value for value in column.tolist()], name
            else:
                assert values == [
                    ",".join(map(str, word)) if isinstance(word, tuple) else word for word in column.tolist()
                ], name
        told = whole.told()
        assert table.column("error").to_pylist() == [told.get(row) for row in range(ROWS)]
        assert told

    @pytest.mark.slow
    def test_parquet_of_workers_and_of_one_process_is_the_same_file(self, tmp_path: Path) -> None:
        alone = made(sweep(tmp_path, name="a.parquet", size=100))
        assert made(sweep(tmp_path, name="b.parquet", size=100), workers=2) == alone

    def test_an_old_output_is_replaced_and_nothing_is_left_beside(self, tmp_path: Path) -> None:
        (tmp_path / "out.csv").write_text("old")
        made(sweep(tmp_path))
        assert [path.name for path in tmp_path.iterdir()] == ["out.csv"]

    def test_folders_are_made(self, tmp_path: Path) -> None:
        assert made(Sweep(json.dumps(PLAN), tmp_path / "a" / "b" / "out.csv"))

    def test_rows_are_told_as_they_are_finished(self, tmp_path: Path) -> None:
        assert list(run(sweep(tmp_path, size=100))) == [100, 100, 52]
        assert list(run(sweep(tmp_path, PLAN | {"sort": "crawl_ratio"}, size=100))) == [ROWS]


class TestRefused:
    def test_other_names_of_the_output(self, tmp_path: Path) -> None:
        for name in ("out.xlsx", "out", "csv"):
            with pytest.raises(WorkError, match=r"\.csv or \.parquet"):
                sweep(tmp_path, name=name)

    def test_a_plan_that_the_service_refuses(self, tmp_path: Path) -> None:
        with pytest.raises(InvalidBuild):
            sweep(tmp_path, PLAN | {"report": ["nothing"]})
        assert list(tmp_path.iterdir()) == []

    def test_more_rows_than_can_be_sorted(self, tmp_path: Path) -> None:
        vary = {name: [1 + place / 1000 for place in range(1000)] for name in ("hub_ratio", "axle_ratio")}
        vary["idle_speed"] = [600, 610, 620, 630, 640, 650]
        plan = PLAN | {"vary": vary, "report": ["crawl_ratio"]}
        assert sweep(tmp_path, plan).plan.count == 6_000_000
        with pytest.raises(InvalidBuild, match="at most 5000000 rows"):
            sweep(tmp_path, plan | {"sort": "crawl_ratio", "limit": 10})

    def test_blocks_of_another_plan(self, tmp_path: Path) -> None:
        next(run(sweep(tmp_path)))
        for other in (
            sweep(tmp_path, PLAN | {"units": "metric"}),
            sweep(tmp_path, size=51),
            replace(sweep(tmp_path), version="0.0.0"),
        ):
            with pytest.raises(WorkError, match=r"out\.csv\.blocks holds blocks of another plan"):
                list(run(other))
        assert made(sweep(tmp_path)).count(b"\r\n") == ROWS + 1

    def test_a_worker_of_another_version(self, tmp_path: Path) -> None:
        with pytest.raises(WorkError, match="install one version"):
            replace(sweep(tmp_path), version="0.0.0").computed(0)

    @pytest.mark.parametrize(
        ("name", "scheduler", "library"),
        [("out.parquet", None, "pyarrow"), ("out.csv", "tcp://127.0.0.1:1", "distributed")],
    )
    def test_a_library_that_is_not_there(
        self, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, name: str, scheduler: str | None, library: str
    ) -> None:
        monkeypatch.setitem(sys.modules, library, None)
        with pytest.raises(WorkError, match=r"pip install 'gearing-api\["):
            list(run(sweep(tmp_path, name=name), scheduler=scheduler))


class TestGoingOn:
    def test_finished_blocks_are_not_computed_again(
        self, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        whole = made(sweep(tmp_path, name="whole.csv"))
        half = run(sweep(tmp_path))
        next(half), next(half)
        half.close()
        computed: list[int] = []
        compute = Sweep.computed
        monkeypatch.setattr(
            Sweep, "computed", lambda self, place: computed.append(place) or compute(self, place)
        )
        assert made(sweep(tmp_path)) == whole
        assert computed == [2, 3, 4, 5]

    def test_half_a_block_is_no_block(self, tmp_path: Path) -> None:
        whole = made(sweep(tmp_path, name="whole.csv"))
        next(run(sweep(tmp_path)))
        (tmp_path / "out.csv.blocks" / "00000001.csv.77.unfinished").write_bytes(b"half of i")
        assert sweep(tmp_path).missing() == [1, 2, 3, 4, 5]
        assert made(sweep(tmp_path)) == whole

    def test_a_run_that_was_stopped_while_joining(
        self, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        whole = made(sweep(tmp_path, name="whole.csv"))
        with monkeypatch.context() as broken:
            for copies in ("os.copy_file_range", "shutil.copyfileobj"):
                broken.setattr(copies, _raise(OSError(28, "No space left on device")))
            with pytest.raises(OSError, match="No space"):
                list(run(sweep(tmp_path)))
        assert not (tmp_path / "out.csv").exists()
        assert made(sweep(tmp_path)) == whole

    def test_blocks_are_joined_where_the_system_cannot_copy_by_itself(
        self, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        whole = made(sweep(tmp_path, name="whole.csv"))
        monkeypatch.setattr("os.copy_file_range", _raise(OSError(38, "Function not implemented")))
        assert made(sweep(tmp_path)) == whole
        monkeypatch.delattr("os.copy_file_range")
        assert made(sweep(tmp_path)) == whole


def _raise(error: Exception) -> Callable[..., Any]:
    def raising(*_: Any) -> Any:
        raise error

    return raising


def children(parent: int) -> list[int]:
    """The processes that a process has started."""
    with open(f"/proc/{parent}/task/{parent}/children") as found:
        return [int(child) for child in found.read().split()]


def until(true: Callable[[], Any], patience: float = 30.0) -> Any:
    ends = time.monotonic() + patience
    while not (found := true()):
        assert time.monotonic() < ends
        time.sleep(0.01)
    return found


@pytest.fixture
def started(tmp_path: Path) -> Iterator[Callable[..., subprocess.Popen[str]]]:
    """Starts the command for real."""
    running: list[subprocess.Popen[str]] = []

    def start(*more: str, plan: Any = BIG, **options: Any) -> subprocess.Popen[str]:
        words = [sys.executable, "-m", "gearing_api", *command(tmp_path, plan, *more)]
        running.append(subprocess.Popen(words, text=True, **{"stderr": subprocess.PIPE} | options))
        return running[-1]

    yield start
    for process in running:
        if process.poll() is None:
            process.kill()
        process.wait()
        if process.stderr is not None:
            process.stderr.close()


@pytest.mark.slow
class TestKilled:
    """Real processes, killed for real."""

    def finished(self, tmp_path: Path) -> list[Path]:
        return sorted((tmp_path / "out.csv.blocks").glob("*.csv"))

    @pytest.mark.parametrize("workers", [1, 2])
    def test_a_killed_run_goes_on_with_what_is_missing(
        self, tmp_path: Path, started: Callable[..., subprocess.Popen[str]], workers: int
    ) -> None:
        process = started("--workers", str(workers), "--block", "5000")
        until(lambda: len(self.finished(tmp_path)) >= 3)
        helpers = children(process.pid)
        process.kill()
        process.wait()
        kept = {path: path.stat().st_mtime_ns for path in self.finished(tmp_path)}
        assert 3 <= len(kept) < 200
        until(lambda: not any(Path(f"/proc/{helper}/cmdline").exists() for helper in helpers))

        going_on = run(sweep(tmp_path, BIG, size=5000))
        rows = next(going_on)
        assert {path: path.stat().st_mtime_ns for path in kept} == kept
        rows += sum(going_on)
        assert rows == 1_000_000 - 5000 * len(kept)
        assert (tmp_path / "out.csv").read_bytes() == made(sweep(tmp_path, BIG, "whole.csv", 20_000))

    def test_an_interrupt_is_told_and_leaves_the_blocks(
        self, tmp_path: Path, started: Callable[..., subprocess.Popen[str]]
    ) -> None:
        def heard() -> None:
            """What is started in the background may have been told not to hear an interrupt."""
            signal.signal(signal.SIGINT, signal.SIG_DFL)

        process = started("--workers", "2", "--block", "5000", preexec_fn=heard)
        until(lambda: len(self.finished(tmp_path)) >= 3)
        process.send_signal(signal.SIGINT)
        _, told = process.communicate(timeout=30)
        assert process.returncode == 130, told
        assert told.rstrip().endswith("sweep: stopped; start it again to continue")
        assert "Traceback" not in told
        assert len(self.finished(tmp_path)) >= 3

    def test_a_worker_that_dies_is_told(
        self, tmp_path: Path, started: Callable[..., subprocess.Popen[str]]
    ) -> None:
        process = started("--workers", "2", "--block", "5000")
        until(lambda: len(self.finished(tmp_path)) >= 3)
        for helper in children(process.pid):
            if b"spawn_main" in Path(f"/proc/{helper}/cmdline").read_bytes():
                os.kill(helper, signal.SIGKILL)
                break
        _, told = process.communicate(timeout=30)
        assert process.returncode == 1
        assert told.rstrip().endswith("sweep: a worker process died; start it again to continue")
        assert "Traceback" not in told

    def test_a_full_disk_is_told_and_the_rest_is_done_later(
        self, tmp_path: Path, started: Callable[..., subprocess.Popen[str]]
    ) -> None:
        """A limit on the size of files stands for a disk without room."""
        limit = (1_000, 1_000)
        process = started(plan=PLAN, preexec_fn=lambda: resource.setrlimit(resource.RLIMIT_FSIZE, limit))
        _, told = process.communicate(timeout=30)
        assert process.returncode == 1
        assert "out.csv: File too large" in told
        assert "Traceback" not in told
        assert not (tmp_path / "out.csv").exists()
        assert started(plan=PLAN).wait(30) == 0
        assert (tmp_path / "out.csv").read_bytes() == made(sweep(tmp_path, name="whole.csv"))


class TestCommand:
    def test_it_ends_with_what_there_is(self, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
        assert main(command(tmp_path, PLAN)) == 0
        told = capsys.readouterr()
        assert told.out == f"{tmp_path}/out.csv: {ROWS} rows\n"
        assert told.err == "", "no bar where nobody watches"
        assert (tmp_path / "out.csv").read_bytes() == made(sweep(tmp_path, name="whole.csv"))

    def test_a_terminal_shows_progress_rate_and_time_left(
        self, tmp_path: Path, started: Callable[..., subprocess.Popen[str]]
    ) -> None:
        half = run(sweep(tmp_path, size=100))
        next(half)
        half.close()
        ours, theirs = pty.openpty()
        termios.tcsetwinsize(theirs, (24, 100))
        process = started("--block", "100", plan=PLAN, stderr=theirs, stdout=subprocess.DEVNULL)
        assert process.wait(30) == 0
        os.close(theirs)
        shown = ""
        with contextlib.suppress(
            OSError
        ):  # which is how this end of a terminal learns that the other is shut
            while piece := os.read(ours, 10_000):
                shown += piece.decode()
        os.close(ours)
        assert f"100/{ROWS}" in shown, "where it was left"
        assert f"{ROWS}/{ROWS}" in shown
        assert "100%" in shown
        assert re.search(r"\[\d\d:\d\d<\d\d:\d\d, .*row/s\]", shown)

    @pytest.mark.parametrize(
        ("plan", "told"),
        [
            ("{", "cannot be read: it is not plain, well-formed JSON in UTF-8"),
            ('{"vary": {"tyre": ["36 in"], "tyre": ["37 in"]}}', "cannot be read: a name stands in it twice"),
            ('{"limit": NaN}', "cannot be read: NaN and Infinity are no numbers"),
            ("[]", "plan must be an object with build, vary, report"),
            ("{}", "vary must be an object of fields, each with a list of values"),
            (PLAN | {"report": ["crawl_rati"]}, "names no result of any question"),
            (PLAN | {"build": {}}, "gear_ratios is needed for crawl"),
            (PLAN | {"vary": {"axle_ratio": [99]}}, "axle_ratio must be a number from 1 to 20"),
        ],
    )  # fmt: skip
    def test_a_plan_that_cannot_be_is_told(
        self, tmp_path: Path, capsys: pytest.CaptureFixture[str], plan: Any, told: str
    ) -> None:
        assert main(command(tmp_path, plan)) == 2
        assert told in capsys.readouterr().err
        assert [path.name for path in tmp_path.iterdir()] == ["plan.json"]

    def test_standard_output_gets_the_same_rows(
        self, tmp_path: Path, capfdbinary: pytest.CaptureFixture[bytes]
    ) -> None:
        arguments = command(tmp_path, PLAN, "--block", "100", name="-")
        arguments[arguments.index("--out") + 1] = "-"
        assert main(arguments) == 0
        assert capfdbinary.readouterr().out == made(sweep(tmp_path))
        assert main([*arguments, "--workers", "2"]) == 2

    def test_whoever_reads_may_stop(self, tmp_path: Path) -> None:
        told = subprocess.run(
            f"{shlex.join([sys.executable, '-m', 'gearing_api', *command(tmp_path, BIG)[:2]])} --out - | head -1",
            shell=True, capture_output=True, text=True, check=True,
        )  # fmt: skip
        assert told.stdout.startswith("axle_ratio,idle_speed,")
        assert told.stderr == ""

    def test_a_file_is_not_overwritten_unasked(
        self, tmp_path: Path, capsys: pytest.CaptureFixture[str]
    ) -> None:
        (tmp_path / "out.csv").write_text("kept")
        assert main(command(tmp_path, PLAN)) == 2
        assert "out.csv exists: choose another name, or add --overwrite" in capsys.readouterr().err
        assert (tmp_path / "out.csv").read_text() == "kept"
        assert main(command(tmp_path, PLAN, "--overwrite")) == 0
        assert (tmp_path / "out.csv").read_bytes() == made(sweep(tmp_path, name="whole.csv"))

    def test_files_that_cannot_be_are_told(self, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
        assert main(["sweep", str(tmp_path / "none.json"), "--out", "x.csv"]) == 1
        assert "none.json" in capsys.readouterr().err
        assert main(command(tmp_path, PLAN, name="plan.json/out.csv")) == 1
        assert "sweep: " in capsys.readouterr().err
        assert main(command(tmp_path, PLAN, name="out.txt")) == 1
        assert "must end in .csv or .parquet" in capsys.readouterr().err

    @pytest.mark.parametrize(("option", "value"), [("--workers", "0"), ("--workers", "x"), ("--block", "0")])
    def test_numbers_are_whole(
        self, tmp_path: Path, capsys: pytest.CaptureFixture[str], option: str, value: str
    ) -> None:
        with pytest.raises(SystemExit):
            main(command(tmp_path, PLAN, option, value))
        assert "must be a whole number" in capsys.readouterr().err

    def test_the_help_has_a_plan_that_runs(self, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
        with pytest.raises(SystemExit):
            main(["sweep", "--help"])
        told = capsys.readouterr().out
        assert "continues" in told
        shown = told[told.index('{"build"') : told.rindex("}") + 1]
        assert main(command(tmp_path, shown)) == 0
        assert (tmp_path / "out.csv").read_text().count("\n") == 7


@pytest.mark.slow
class TestCluster:
    """A real Dask cluster on this machine."""

    def test_a_worker_killed_on_the_way_loses_nothing_and_doubles_nothing(self, tmp_path: Path) -> None:
        dask = pytest.importorskip("distributed")
        with (
            dask.LocalCluster(
                n_workers=2, threads_per_worker=1, processes=True, dashboard_address=None
            ) as cluster,
            dask.Client(cluster) as client,
        ):
            pids = client.run(os.getpid)
            going = run(sweep(tmp_path, BIG, size=5000), scheduler=cluster.scheduler_address)
            rows = sum(next(going) for _ in range(5))
            os.kill(next(iter(pids.values())), signal.SIGKILL)
            rows += sum(going)
        assert rows == 1_000_000
        assert (tmp_path / "out.csv").read_bytes() == made(sweep(tmp_path, BIG, "whole.csv", 20_000))

    def test_an_error_on_a_worker_is_told(self, tmp_path: Path) -> None:
        dask = pytest.importorskip("distributed")
        with dask.LocalCluster(
            n_workers=1, threads_per_worker=1, processes=True, dashboard_address=None
        ) as cluster:
            other = replace(sweep(tmp_path), version="0.0.0")
            with pytest.raises(WorkError, match="install one version"):
                list(run(other, scheduler=cluster.scheduler_address))

    def test_no_cluster_is_told(self, tmp_path: Path) -> None:
        pytest.importorskip("distributed")
        dask = pytest.importorskip("dask")
        with (
            dask.config.set({"distributed.comm.timeouts.connect": "1s"}),
            pytest.raises(OSError, match="127"),
        ):
            list(run(sweep(tmp_path), scheduler="tcp://127.0.0.1:1"))

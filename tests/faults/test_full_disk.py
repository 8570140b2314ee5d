"""A sweep whose output finds no room: it is told, nothing looks whole, and the rest is done later."""

import json
import resource
import shutil
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from gearing_api.batch.sweeps import Sweep, run

pytestmark = pytest.mark.slow

PLAN: dict[str, Any] = {
    "build": {"tyre": "35x12.50R17LT", "gear_ratios": [4.46, 2.61], "peak_torque": 260, "vehicle_mass": 5300},
    "vary": {"axle_ratio": [3 + place / 100 for place in range(200)], "idle_speed": [*range(600, 1600, 5)]},
    "report": ["crawl_ratio", "crawl_speed", "climbable_grade_percent", "top_speed"],
}
FULL = "No space left on device"
BLOCK = 5_000


def wanted(folder: Path, form: str) -> bytes:
    """The output of a run that nothing disturbs."""
    sweep = Sweep(json.dumps(PLAN), folder / f"undisturbed.{form}", BLOCK)
    list(run(sweep))
    return sweep.out.read_bytes()


def swept(folder: Path, form: str, workers: int, out: Path, **options: Any) -> tuple[int, str]:
    """The command: its exit status, and what it tells."""
    plan = folder / "plan.json"
    plan.write_text(json.dumps(PLAN))
    words = [sys.executable, "-m", "gearing_api", "sweep", str(plan), "--out", str(out / f"out.{form}")]
    done = subprocess.run(
        [*options.pop("before", ()), *words, "--workers", str(workers), "--block", str(BLOCK)],
        stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, text=True, timeout=300, **options,
    )  # fmt: skip
    return done.returncode, done.stderr


def assert_told(status: int, told: str, form: str, reason: str) -> None:
    print(f"\n{told.strip()}")
    assert status == 1
    assert told.startswith("sweep: ")
    assert reason in told
    assert f"out.{form}" in told, "names the file"
    assert "Traceback" not in told


@pytest.fixture
def small_disk(tmp_path: Path) -> Callable[[int], list[str]]:
    """What starts a command with a folder ``disk`` of so many bytes, in namespaces of its own."""
    disk, kept = tmp_path / "disk", tmp_path / "kept"
    disk.mkdir()
    kept.mkdir()
    alone = ["unshare", "--user", "--map-root-user", "--mount"]
    if not shutil.which("unshare") or subprocess.run([*alone, "true"], capture_output=True).returncode:
        pytest.skip("this machine lets no process have a file system of its own (unshare --user --mount)")

    def sized(size: int) -> list[str]:
        mount = f'mount -t tmpfs -o size={size} none "{disk}" && cp -a "{kept}/." "{disk}" && '
        keep = f'; status=$?; rm -rf "{kept}" && cp -a "{disk}" "{kept}"; exit $status'
        return [*alone, "sh", "-c", mount + '"$@"' + keep, "sh"]

    return sized


@pytest.mark.parametrize("workers", [1, 2])
@pytest.mark.parametrize("form", ["csv", "parquet"])
def test_a_full_disk_is_told_and_the_rest_is_done_when_there_is_room(
    tmp_path: Path, small_disk: Callable[[int], list[str]], form: str, workers: int
) -> None:
    """The disk has room for some blocks, then for more of them but not for the output, then for all."""
    whole = wanted(tmp_path, form)
    done = 0
    for size in (len(whole) // 2, len(whole) * 3 // 2):
        status, told = swept(tmp_path, form, workers, tmp_path / "disk", before=small_disk(size))
        assert_told(status, told, form, FULL)
        kept = sorted(path.name for path in (tmp_path / "kept").iterdir())
        assert f"out.{form}" not in kept, "no half file that looks whole"
        assert not [*(tmp_path / "kept").rglob("*.unfinished")], "what is of no use takes no room"
        blocks = len([*(tmp_path / "kept").glob(f"out.{form}.blocks/*.{form}")])
        print(
            f"{form}, {workers} workers, room for {size} of {len(whole)} bytes: {blocks} blocks kept, {kept}"
        )
        assert blocks > done, "goes on where it was"
        done = blocks
    room = small_disk(4 * len(whole))
    assert swept(tmp_path, form, workers, tmp_path / "disk", before=room) == (0, "")
    assert (tmp_path / "kept" / f"out.{form}").read_bytes() == whole
    assert [path.name for path in (tmp_path / "kept").iterdir()] == [f"out.{form}"]


@pytest.mark.parametrize("workers", [1, 2])
@pytest.mark.parametrize("form", ["csv", "parquet"])
def test_a_limit_on_the_size_of_files_is_told_in_the_same_way(
    tmp_path: Path, form: str, workers: int
) -> None:
    whole = wanted(tmp_path, form)
    limits = (len(whole) // 2, len(whole) // 2)
    status, told = swept(
        tmp_path,
        form,
        workers,
        tmp_path,
        preexec_fn=lambda: resource.setrlimit(resource.RLIMIT_FSIZE, limits),
    )
    assert_told(status, told, form, "File too large")
    assert not (tmp_path / f"out.{form}").exists()
    assert swept(tmp_path, form, workers, tmp_path) == (0, "")
    assert (tmp_path / f"out.{form}").read_bytes() == whole

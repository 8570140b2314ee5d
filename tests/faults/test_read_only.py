"""The service as a user without rights on a file system that is read-only, as in a hardened container."""

import os
import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Sequence
from pathlib import Path

import pytest

from tests.benchmarks.service import Running, running
from tests.faults.asks import Ask
from tests.faults.load import ANSWERED, BUSY, PATIENCE, Connection, Load

pytestmark = pytest.mark.slow

ALONE = ["unshare", "--user", "--map-root-user", "--mount"]
NOBODY = "exec unshare --user --map-user=65534 --map-group=65534"
READ_ONLY = "mount -o remount,bind,ro / && mount --bind /tmp /tmp && mount -o remount,bind,ro /tmp"
MEMORY = "mount -t tmpfs -o {how} none /dev/shm"


def locked(memory: str) -> list[str]:
    """What starts a command as nobody, on a file system that is read-only."""
    if not shutil.which("unshare") or subprocess.run([*ALONE, "true"], capture_output=True).returncode:
        pytest.skip("this machine lets no process have a file system of its own (unshare --user --mount)")
    mounts = f"{READ_ONLY} && {MEMORY.format(how=memory)}"
    return [*ALONE, "sh", "-c", f'{mounts} && {NOBODY} "$@"', "sh"]


def environment(home: str | None) -> dict[str, str]:
    kept = {name: value for name, value in os.environ.items() if name not in ("HOME", "MPLCONFIGDIR")}
    return kept if home is None else kept | {"HOME": home}


def asked_all(service: Running, asks: Sequence[Ask]) -> Load:
    """Each once, on one connection after another."""
    load = Load()
    for ask in asks:
        became = Connection(service.port, kept=False).ask(ask)
        load.count(ask, became, 0.0)
    return load


@pytest.mark.parametrize("home", [None, "/nowhere"])
def test_a_user_without_rights_serves_where_only_memory_can_be_written(
    tmp_path: Path, asks: Sequence[Ask], home: str | None
) -> None:
    log = tmp_path / "log"
    with running(1, locked("size=4m"), environment(home), log) as service:
        status = Path(f"/proc/{service.process.pid}/status").read_text()
        assert "CapEff:\t0000000000000000" in status, "it has no rights"
        load = asked_all(service, asks)
        before = service.workers()
        service.process.send_signal(signal.SIGHUP)
        ends = time.monotonic() + PATIENCE
        while set(before) & {*service.workers()} or not service.workers():
            assert time.monotonic() < ends, log.read_text()
            time.sleep(0.05)
        after = asked_all(service, asks)
    print(f"\nHOME {home}: {load.told()}; after a reload {after.told()}")
    for counted in (load, after):
        assert counted.counts[ANSWERED] + counted.counts[BUSY] == len(asks), log.read_text()
    assert "matplotlib" not in log.read_text(), "no complaint about a folder for what it keeps"


def test_where_nothing_at_all_can_be_written_it_is_told() -> None:
    serve = [sys.executable, "-m", "gearing_api", "serve", "--port", "1"]
    done = subprocess.run(
        [*locked("ro"), *serve], env=environment(None), capture_output=True, text=True, timeout=PATIENCE
    )
    print(f"\n{done.stderr.strip()}")
    assert done.returncode == 1
    assert done.stderr.startswith("serve: No usable temporary directory found in")
    assert "Traceback" not in done.stderr

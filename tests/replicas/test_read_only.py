"""An instance on a system where nothing but the shared memory can be written."""

import os
import re
import sys
from pathlib import Path

import pytest

from tests.replicas.fleet import DOCUMENT, Program, ask, free_port

pytestmark = pytest.mark.slow

SEALED = r"""
set -eu
mount -t tmpfs memory /dev/shm
awk '{print $5}' /proc/self/mountinfo | sort -r | while read -r place; do
    case $place in
        /dev/shm | /dev | /dev/* | /proc | /proc/* | /sys | /sys/*) ;;
        *) mount -o remount,bind,ro "$place" ;;
    esac
done
! touch "$1/written" /tmp/written 2>/dev/null
shift
exec "$@"
"""
CHART = "/v1/road-speed.{}?tyre=33+in&axle_ratio=4.1&gear_ratios=4,2,1"


def settings() -> dict[str, str]:
    """What the document adds for such a system."""
    added = re.search(r"\*\*A read-only system\*\*.*?add `(.*?)`", DOCUMENT.read_text("utf-8"), re.DOTALL)
    assert added
    return dict(pair.split("=") for pair in added[1].split())


def test_an_instance_needs_no_more_than_the_document_says(tmp_path: Path) -> None:
    port = free_port()
    command = ["unshare", "--user", "--map-root-user", "--mount", "sh", "-c", SEALED, "sealed", str(tmp_path)]
    serve = [sys.executable, "-m", "gearing_api", "serve", "--port", str(port)]
    environment = {**os.environ, **settings(), "GEARING_METRICS": "1"}
    instance = Program([*command, *serve], environment, port, tmp_path / "instance.log")
    try:
        instance.start()
        for path in ("/", CHART.format("png"), CHART.format("svg"), "/docs", "/metrics"):
            assert ask(port, path).status == 200, instance.log.read_text()
        body = b'{"columns": {"tyre": ["33 in"]}}'.ljust(10_000_000)
        answer = ask(port, "/v1/tyre/batch", {"Content-Type": "application/json"}, method="POST", body=body)
        assert answer.status == 200
    finally:
        instance.kill()
    log = instance.log.read_text()
    assert "Read-only" not in log
    assert "temporary" not in log

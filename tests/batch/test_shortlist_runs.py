"""Shortlists offline: any size, in blocks, by processes or a cluster, and the output never overwritten unasked."""

import io
import json
from pathlib import Path
from typing import Any

import pytest
from flask.testing import FlaskClient

from gearing_api.__main__ import main
from gearing_api.batch.shortlist_answers import shortlist_document
from gearing_api.batch.shortlist_plans import read_shortlist
from gearing_api.batch.shortlist_runs import ShortlistRun
from gearing_api.batch.shortlists import ranking
from gearing_api.http.shortlist import EXAMPLE
from tests.batch.test_shortlists import AMONG, PLAN

TEXT = json.dumps(PLAN)
MISSED = json.dumps(
    {**PLAN, "targets": {"crawl_ratio": {"least": 500}, "engine_speed_change_percent": {"most": 0}}}
)


def at_once(text: str) -> dict[str, Any]:
    plan = read_shortlist(json.loads(text))
    return shortlist_document(ranking(plan, 0, plan.count))


def run(text: str, **how: Any) -> dict[str, Any]:
    *_, (_, whole) = ShortlistRun(text, 7).run(**how)
    return shortlist_document(whole)


@pytest.mark.parametrize("text", [TEXT, MISSED], ids=["met", "missed by parts of the spread"])
def test_blocks_give_the_whole(text: str) -> None:
    assert run(text) == at_once(text)


def test_rows_of_each_block_are_told_once() -> None:
    assert sum(rows for rows, _ in ShortlistRun(MISSED, 7).run()) == 36


def test_processes_give_the_whole() -> None:
    assert run(TEXT, workers=2) == at_once(TEXT)


@pytest.mark.slow
def test_a_cluster_gives_the_whole() -> None:
    dask = pytest.importorskip("distributed")
    with dask.LocalCluster(
        n_workers=2, threads_per_worker=1, processes=True, dashboard_address=None
    ) as cluster:
        assert run(TEXT, scheduler=cluster.scheduler_address) == at_once(TEXT)


@pytest.fixture
def plan(tmp_path: Path) -> str:
    path = tmp_path / "plan.json"
    path.write_text(json.dumps(EXAMPLE), encoding="utf-8")
    return str(path)


def test_it_prints_rows_and_steps(plan: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["shortlist", plan]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert lines[0].startswith("2 of 4 combinations meet the target; one beats all others.")
    assert "1. 33x12.50R17LT + gears 4.56: meets all" in lines
    assert any(line.startswith("1. gears 4.56: price +1400; crawl ratio 45.25 to 55.32") for line in lines)
    assert any(line.startswith("note: ") for line in lines)


def test_the_answer_is_that_of_the_service(
    plan: str, client: FlaskClient, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["shortlist", plan, "--out", "-"]) == 0
    served = client.post("/v1/shortlist?detail=brief", json=EXAMPLE).get_json()
    assert json.loads(capsys.readouterr().out) == {name: served[name] for name in served if name != "errors"}


def test_refused_values_are_told(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "plan.json"
    path.write_text(json.dumps({**PLAN, "among": {**AMONG, "tyre": ["35", "35 in"]}}), encoding="utf-8")
    assert main(["shortlist", str(path)]) == 0
    assert "12 refused: tyre is a bare number" in capsys.readouterr().err
    path.write_text(json.dumps({**PLAN, "among": {}}), encoding="utf-8")
    assert main(["shortlist", str(path)]) == 2
    assert "among must not be empty" in capsys.readouterr().err


def test_nothing_is_overwritten_unasked(
    plan: str, tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    out = tmp_path / "out.json"
    out.write_text("mine", encoding="utf-8")
    words = ["shortlist", plan, "--out", str(out)]
    monkeypatch.setattr("sys.stdin", io.StringIO("y\n"))
    assert main(words) == 2
    assert "exists: choose another name, or add --overwrite" in capsys.readouterr().err
    assert out.read_text("utf-8") == "mine"
    assert main([*words, "--overwrite"]) == 0
    assert json.loads(out.read_text("utf-8"))["question"] == "shortlist"


def test_a_picture(
    plan: str, tmp_path: Path, capsys: pytest.CaptureFixture[str], client: FlaskClient
) -> None:
    out = tmp_path / "list.svg"
    assert main(["shortlist", plan, "--out", str(out)]) == 0
    assert out.read_bytes() == client.post("/v1/shortlist.svg", json=EXAMPLE).data
    bare = {name: EXAMPLE[name] for name in ("build", "among", "sums")}
    Path(plan).write_text(json.dumps(bare), encoding="utf-8")
    assert main(["shortlist", plan, "--out", str(tmp_path / "other.png")]) == 2
    assert "nothing to draw" in capsys.readouterr().err

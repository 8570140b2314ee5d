"""The command line: the same answers without a server, and refusals in plain words."""

import json
import shlex
from pathlib import Path

import pytest
from flask.testing import FlaskClient

from gearing_api import __main__ as command_line
from gearing_api.__main__ import main
from gearing_api.http.spec import spec
from gearing_api.questions import QUESTIONS

FIELDS = ["tyre=35x12.50R17LT", "axle_ratio=4.56", "gear_ratios=4.46,2.61"]
EXAMPLES = [
    shlex.split(line)[1:]
    for line in command_line._EXAMPLES.splitlines()
    if line.strip().startswith("gearing-api answer")
]


def refused(capsys: pytest.CaptureFixture[str], *arguments: str) -> str:
    """What is told on the error stream; nothing may stand on the other."""
    try:
        status = main(list(arguments))
    except SystemExit as ended:
        status = int(str(ended.code))
    told = capsys.readouterr()
    assert status == 2
    assert told.out == ""
    assert "Traceback" not in told.err
    return told.err


@pytest.mark.parametrize("suffix", ["json", "csv", "txt", "md"])
def test_it_prints_what_the_service_answers(
    client: FlaskClient, capsys: pytest.CaptureFixture[str], suffix: str
) -> None:
    assert main(["answer", "crawl", *FIELDS, "--format", suffix, "--units", "metric"]) == 0
    served = client.get(f"/v1/crawl.{suffix}?{'&'.join(FIELDS)}&units=metric").data.decode()
    printed = capsys.readouterr().out
    assert printed == (served if served.endswith("\n") else served + "\n")


def test_a_pick_is_one_line_of_bare_numbers(client: FlaskClient, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["answer", "crawl", *FIELDS, "--pick", "crawl_ratio,crawl_speed"]) == 0
    served = client.get(f"/v1/crawl.txt?{'&'.join(FIELDS)}&pick=crawl_ratio,crawl_speed").text
    assert capsys.readouterr().out == served + "\n"


def test_options_may_stand_before_the_fields(capsys: pytest.CaptureFixture[str]) -> None:
    for order in (["--format", "json", *FIELDS], [*FIELDS, "--format", "json"]):
        assert main(["answer", "crawl", *order]) == 0
    first, second = capsys.readouterr().out.splitlines()
    assert first == second


@pytest.mark.parametrize("words", EXAMPLES, ids=[" ".join(words) for words in EXAMPLES])
def test_the_examples_of_the_help_text_work(words: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    assert main(words) == 0
    assert capsys.readouterr().out.strip()


@pytest.mark.parametrize("command", [[], ["serve"], ["answer"], ["spec"]])
def test_every_command_has_a_help_text(command: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as ended:
        main([*command, "--help"])
    assert ended.value.code == 0
    told = capsys.readouterr().out
    assert "usage: gearing-api" in told
    if command in ([], ["answer"]):
        assert "gearing-api answer crawl" in told
        assert all(name in told for name in QUESTIONS) or not command


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        ([], "arguments are required: COMMAND"),
        (["dance"], "invalid choice: 'dance'"),
        (["answer"], "arguments are required"),
        (["answer", "crawl"], "arguments are required: FIELD=VALUE"),
        (["answer", "dance", "tyre=33 in"], "invalid choice: 'dance'"),
        (["answer", "tyre", "tyre=33 in", "--format", "pdf"], "invalid choice: 'pdf'"),
        (["answer", "tyre", "tyre"], "tyre: write each field once, as FIELD=VALUE"),
        (["answer", "tyre", "tyre=33 in", "tyre=35 in"], "tyre=35 in: write each field once"),
        (["answer", "tyre", "tire=33 in"], "tire is no field of a build; the nearest is tyre"),
        (["answer", "tyre", "tyre=35"], "tyre is a bare number"),
        (["answer", "tyre", "tyre="], "tyre is not a tyre size"),
        (["answer", "tyre", "tyre=\udcff"], "tyre is not a tyre size"),
        (["answer", "crawl", "tyre=33 in"], "axle_ratio is needed for crawl: a number from 1 to 20"),
        (["answer", "tyre", "tyre=33 in", "--pick", "diametre"], "the nearest is diameter"),
        (["answer", "tyre", "tyre=33 in", "--pick", "sag"], "pick sag is not known here"),
        (["serve", "--port", "0"], "must be a whole number from 1 to 65535"),
        (["serve", "--port", "65536"], "must be a whole number from 1 to 65535"),
        (["serve", "--port", "8_000"], "must be a whole number"),
        (["serve", "--port", "http"], "must be a whole number"),
        (["serve", "--workers", "0"], "must be a whole number from 1 to 64"),
        (["serve", "--workers", "65"], "must be a whole number from 1 to 64"),
    ],
)
def test_what_is_wrong_is_told_in_plain_words(
    capsys: pytest.CaptureFixture[str], arguments: list[str], told: str
) -> None:
    assert told in refused(capsys, *arguments)


def test_all_faults_are_told_a_line_each(capsys: pytest.CaptureFixture[str]) -> None:
    told = refused(capsys, "answer", "crawl", "tyre=x", "axle_ratio=99", "foo=1").splitlines()
    assert [line.split()[0] for line in told] == ["tyre", "axle_ratio", "foo"]


def test_a_wrong_setting_is_told_before_serving(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("GEARING_BODY_BYTES", "lots")
    assert "GEARING_BODY_BYTES must be a whole number" in refused(capsys, "serve")


def test_the_spec_document_is_written(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    assert main(["spec"]) == 0
    printed = capsys.readouterr().out
    assert main(["spec", "--out", str(tmp_path / "openapi.json")]) == 0
    written = (tmp_path / "openapi.json").read_text(encoding="utf-8")
    assert json.loads(printed) == json.loads(written) == spec()
    assert written.endswith("}\n")

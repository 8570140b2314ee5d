"""The command line: the same answers without a server, and refusals in plain words."""

import io
import json
import shlex
import subprocess
from pathlib import Path

import pytest
from flask.testing import FlaskClient

from gearing_api import __main__ as command_line
from gearing_api import __version__
from gearing_api.__main__ import main
from gearing_api.http.spec import spec
from gearing_api.questions import QUESTIONS

JSON = "application/json"
ROWS = 'tyre,axle_ratio,gear_ratios\n35 in,4.56,"4.46,2.61"\n35 in,99,4.46\n'
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


@pytest.fixture
def files(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder with a build and with rows, in which the command runs."""
    build = {"axle_ratio": 4.56, "gear_ratios": [4.46, 2.61], "original": {"tyre": "33 in"}}
    (tmp_path / "truck.json").write_text(json.dumps(build | {"tyre": "35 in"}), encoding="utf-8")
    (tmp_path / "trucks.csv").write_text(ROWS, encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    return tmp_path


def typed(monkeypatch: pytest.MonkeyPatch, text: str, *, terminal: bool = False) -> None:
    """Put a text on standard input."""
    stream = io.TextIOWrapper(io.BytesIO(text.encode()))
    monkeypatch.setattr(stream, "isatty", lambda: terminal)
    monkeypatch.setattr("sys.stdin", stream)


@pytest.mark.parametrize("words", EXAMPLES, ids=[" ".join(words) for words in EXAMPLES])
def test_the_examples_of_the_help_text_work(
    words: list[str], files: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    if "--help" in words:
        with pytest.raises(SystemExit):
            main(words)
    else:
        assert main(words) == 0
    written = [files / words[words.index("--out") + 1]] if "--out" in words else []
    assert capsys.readouterr().out.strip() or all(path.stat().st_size for path in written)


def test_a_question_tells_its_fields(capsys: pytest.CaptureFixture[str]) -> None:
    for question in QUESTIONS.values():
        with pytest.raises(SystemExit):
            main(["answer", question.name, "--help"])
        told = capsys.readouterr().out
        assert told.startswith(question.asks)
        assert [line.split()[0] for line in told.splitlines() if line[:2] == "  " and line[2] != " "] == [
            *question.needs,
            *(name for name in question.fields if name not in question.needs),
        ]


class TestFiles:
    def test_a_build_is_that_of_a_request(
        self, files: Path, client: FlaskClient, capsys: pytest.CaptureFixture[str]
    ) -> None:
        served = client.post("/v1/crawl", data=(files / "truck.json").read_bytes(), content_type=JSON)
        assert main(["answer", "crawl", "truck.json", "--format", "json"]) == 0
        printed = json.loads(capsys.readouterr().out)
        assert printed["result"] == served.get_json()["result"]
        assert printed["original"] == served.get_json()["original"]

    def test_further_fields_replace_those_of_the_file(
        self, files: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
    ) -> None:
        assert main(["answer", "crawl", "truck.json", "axle_ratio=5", "--pick", "crawl_ratio"]) == 0
        typed(monkeypatch, (files / "truck.json").read_text())
        assert main(["answer", "crawl", "axle_ratio=5", "-", "--pick", "crawl_ratio"]) == 0
        assert capsys.readouterr().out == "22.3\n22.3\n"

    def test_rows_are_those_of_the_service(
        self,
        files: Path,
        client: FlaskClient,
        capsys: pytest.CaptureFixture[str],
        monkeypatch: pytest.MonkeyPatch,
    ) -> None:
        served = client.post("/v1/crawl", data=ROWS, content_type="text/csv").data
        assert b"axle_ratio must be a number" in served
        assert main(["answer", "crawl", "trucks.csv", "--out", "answers.csv"]) == 0
        assert (files / "answers.csv").read_bytes() == served
        typed(monkeypatch, ROWS)
        assert main(["answer", "crawl", "-"]) == 0
        assert capsys.readouterr().out.encode() == served

    def test_a_sentence_is_read_as_by_the_service(
        self, client: FlaskClient, capsys: pytest.CaptureFixture[str]
    ) -> None:
        assert main(["answer", "from-text", "35s", "and", "4.56", "gears"]) == 0
        served = client.get("/v1/from-text.txt", query_string={"q": "35s and 4.56 gears"}).text
        assert capsys.readouterr().out.rstrip("\n") == served.rstrip("\n")

    @pytest.mark.parametrize("suffix", ["svg", "png"])
    def test_the_name_of_the_output_is_its_format(
        self, files: Path, client: FlaskClient, suffix: str
    ) -> None:
        assert main(["answer", "road-speed", *FIELDS, "--out", f"curve.{suffix}"]) == 0
        served = client.get(f"/v1/road-speed.{suffix}?{'&'.join(FIELDS)}").data
        assert (files / f"curve.{suffix}").read_bytes() == served

    def test_nothing_is_overwritten_unasked(
        self, files: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
    ) -> None:
        write = ["answer", "crawl", *FIELDS, "--out", "trucks.csv"]
        typed(monkeypatch, "y\n")
        assert "trucks.csv exists" in refused(capsys, *write)
        typed(monkeypatch, "\n", terminal=True)
        assert "trucks.csv was left as it is" in refused(capsys, *write)
        assert (files / "trucks.csv").read_text() == ROWS
        typed(monkeypatch, "y\n", terminal=True)
        assert main(write) == 0
        assert (files / "trucks.csv").read_text() != ROWS
        assert main([*write, "--overwrite"]) == 0

    @pytest.mark.parametrize(
        ("arguments", "told"),
        [
            (["crawl", "none.json"], "answer: none.json: No such file"),
            (["crawl", "truck.json", "trucks.csv"], "trucks.csv: one file at a time"),
            (["crawl", "trucks.csv", "axle_ratio=4"], "trucks.csv has rows: they take no other fields"),
            (["crawl", "trucks.csv", "--format", "json"], "and come back as csv"),
            (["crawl", "trucks.csv", "--pick", "x"], "pick names no result of crawl"),
            (["crawl", "bad.json"], "bad.json cannot be read: it is not plain, well-formed JSON"),
            (["tyre", "tyre=33 in", "--format", "svg"], "tyre has no format svg: it has json, csv, txt, md"),
            (["tyre", "tyre=33 in", "--out", "tyre.pdf"], "tyre has no format pdf"),
            (["tyre", "tyre=33 in", "--out", "none/tyre.txt"], "answer: none/tyre.txt: No such file"),
            (
                ["axle-check", "truck.json", "vehicle_mass=4000", "--out", "x.svg"],
                "There is nothing to draw of this build",
            ),
            (["from-text", " "], "q is empty"),
        ],
    )
    def test_what_is_wrong_with_a_file_is_told(
        self, files: Path, capsys: pytest.CaptureFixture[str], arguments: list[str], told: str
    ) -> None:
        (files / "bad.json").write_text("{]")
        assert told in refused(capsys, "answer", *arguments)


def test_it_tells_its_version(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as ended:
        main(["--version"])
    assert ended.value.code == 0
    assert capsys.readouterr().out == f"gearing-api {__version__}\n"


def test_shells_complete_commands(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["completion", "bash"]) == 0
    script = capsys.readouterr().out
    assert "build-sheet" in script
    assert subprocess.run(["bash", "-n"], input=script, text=True, check=False).returncode == 0


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


def test_a_file_of_turns_that_cannot_be_opened_is_told_before_serving(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setenv("GEARING_TURNS_FILE", str(tmp_path / "none" / "turns"))
    assert main(["serve"]) == 1
    assert capsys.readouterr().err == f"serve: {tmp_path / 'none' / 'turns'}: No such file or directory\n"


def test_the_spec_document_is_written(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    assert main(["spec"]) == 0
    printed = capsys.readouterr().out
    assert main(["spec", "--out", str(tmp_path / "openapi.json")]) == 0
    written = (tmp_path / "openapi.json").read_text(encoding="utf-8")
    assert json.loads(printed) == json.loads(written) == spec()
    assert written.endswith("}\n")

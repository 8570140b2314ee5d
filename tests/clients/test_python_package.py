"""The Python client as its users have it: the guide, the example, the wheel, and a type checker."""

import doctest
import re
import shutil
import subprocess
import sys
import venv
import zipfile
from pathlib import Path

import pytest

from gearing_client import Client
from tests.ports import free_port

PACKAGE = Path(__file__).parents[2] / "clients/python"
GUIDE = (PACKAGE / "README.md").read_text("utf-8")
EXAMPLE = PACKAGE / "examples/regear_catalogue.py"
ADDRESS = "http://127.0.0.1:8000"

WHEEL_SCRIPT = """\
import importlib.metadata
import gearing_client

assert importlib.metadata.version("gearing-client") == gearing_client.__version__
assert importlib.metadata.metadata("gearing-client")["License-Expression"] == "MIT"
with gearing_client.Client("{}") as client:
    print(gearing_client.__file__, client.final_drive(tyre="33 in", axle_ratio=4.1).effective_ratio)
"""

USER_SCRIPT = """\
from gearing_client import Client, GearingError, InvalidBuild


def crawl_speeds(ratios: list[float]) -> list[float | None]:
    with Client(units="us", timeout=5) as client:
        return [
            client.crawl(tyre="35x12.50R17LT", axle_ratio=ratio, gear_ratios=[4.46, 2.61]).crawl_speed
            for ratio in ratios
        ]


def torque(client: Client) -> str | None:
    points: list[tuple[float, float | str]] = [(1000, 210), (2000, "260 lb-ft")]
    answer = client.cruise(tyre="33 in", torque_curve=points, engine_kind="diesel-turbo")
    text: str = answer.cautions[0].text
    try:
        return client.crawl(tyre="33 in", surface="gravel").crawl_limited_by or text
    except InvalidBuild as refused:
        return refused.errors[0].field
    except GearingError:
        return None


def wrong(client: Client) -> None:
    client.crawl(tire="33 in")  # wrong
    client.crawl("33 in")  # wrong
    client.crawl(surface="mud")  # wrong
    client.crawl(gear_ratios=4.46j)  # wrong
    client.crawl(tyre="33 in").crawl_sped  # wrong
    speed: float = client.crawl(tyre="33 in").crawl_speed  # wrong
    Client(units="imperial")  # wrong
    client.tyre(tyre="33 in").table.rows  # wrong
"""


def test_the_guide_shows_what_happens(service: str) -> None:
    blocks = re.findall(r"```python\n(.*?)```", GUIDE, re.DOTALL)
    assert len(blocks) >= 6
    text = "\n".join(blocks).replace(ADDRESS, service)
    told: list[str] = []
    runner = doctest.DocTestRunner(verbose=False)
    runner.run(doctest.DocTestParser().get_doctest(text, {}, "README.md", None, 0), out=told.append)
    assert not told, "".join(told)
    assert runner.tries > 10


def test_the_guide_names_every_exception_and_default() -> None:
    for name in ("InvalidBuild", "ServiceProblem", "ConnectionFailed", "RequestTimeout", "UnexpectedAnswer"):
        assert f"| `{name}` |" in GUIDE


def test_the_example_regears_a_catalogue(service: str) -> None:
    rows = [
        line.split()
        for line in run_example(EXAMPLE.name, service).splitlines()
        if line.startswith(("33x", "35x"))
    ]
    starred = [row for row in rows if row[-1] == "*"]
    assert len(starred) == 3 * 2
    assert {row[0] for row in starred} == {"33x10.50R17LT", "35x12.50R17LT"}
    with Client(service) as client:
        ambulance = client.crawl(
            tyre=rows[0][0], axle_ratio=rows[0][1], gear_ratios="4.46,2.61", transfer_ratios="1,2.72"
        )
    assert rows[0][5] == f"{ambulance.crawl_ratio:.1f}"


def test_the_example_says_when_nobody_answers() -> None:
    ran = subprocess.run(
        [sys.executable, EXAMPLE, f"http://127.0.0.1:{free_port()}"],
        env={"PYTHONPATH": str(PACKAGE)},
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )
    assert ran.returncode == 1
    assert "cannot be reached" in ran.stderr
    assert "Traceback" not in ran.stderr


@pytest.mark.slow
def test_answers_become_frames(service: str) -> None:
    with Client(service) as client:
        table = client.crawl(tyre="33 in", axle_ratio=4.1, gear_ratios=[4, 1]).table
        answers = client.batch("tyre", {"tyre": ["265/70R17", "round"]})
    assert table is not None
    frame = table.to_frame()
    assert list(frame.columns) == list(table.columns)
    assert frame["gear"].tolist() == [1, 2]
    assert frame.attrs["units"]["crawl_speed"] == "mph"
    many = answers.to_frame()
    assert many["diameter"].isna().tolist() == [False, True]
    assert many["diameter"].dtype == "float64"


@pytest.fixture(scope="module")
def installed(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The Python of a fresh environment that has the wheel, and a type checker beside it."""
    folder = tmp_path_factory.mktemp("installed")
    source = shutil.copytree(PACKAGE, folder / "source", ignore=shutil.ignore_patterns("__pycache__"))
    venv.create(folder / "venv", with_pip=True)
    python = folder / "venv/bin/python"
    pip = [python, "-m", "pip", "--disable-pip-version-check", "--quiet"]
    subprocess.run([*pip, "wheel", "--no-deps", "-w", folder, source], check=True, timeout=300)
    (wheel,) = folder.glob("*.whl")
    assert {"gearing_client/py.typed", "gearing_client/questions.py"} <= {*zipfile.ZipFile(wheel).namelist()}
    subprocess.run([*pip, "install", wheel, "mypy"], check=True, timeout=300)
    return python


@pytest.mark.slow
def test_the_wheel_answers(installed: Path, service: str, tmp_path: Path) -> None:
    script = WHEEL_SCRIPT.format(service)
    ran = subprocess.run(
        [installed, "-c", script],
        cwd=tmp_path,
        env={},
        capture_output=True,
        text=True,
        timeout=60,
        check=True,
    )
    where, ratio = ran.stdout.split()
    assert Path(where).is_relative_to(installed.parents[1])
    assert float(ratio) == 4.1


@pytest.mark.slow
def test_a_type_checker_knows_the_fields_and_results(installed: Path, tmp_path: Path) -> None:
    (tmp_path / "script.py").write_text(USER_SCRIPT, "utf-8")
    ran = subprocess.run(
        [installed, "-m", "mypy", "--strict", "script.py"],
        cwd=tmp_path,
        capture_output=True,
        text=True,
        timeout=300,
        check=False,
    )
    lines = USER_SCRIPT.splitlines()
    found = {int(line) for line in re.findall(r"^script\.py:(\d+): error", ran.stdout, re.MULTILINE)}
    assert found == {place for place, line in enumerate(lines, 1) if line.endswith("# wrong")}, ran.stdout


def test_the_rescue_team_decides(service: str) -> None:
    printed = run_example("rescue_decision.py", service)
    assert "4 of 36 combinations meet all 5 targets; nothing beats 2 of them." in printed
    first = printed.index("\n33s + gears 4.56 + donor: 4150, 46 h.")
    assert first < printed.index("\n35s + gears 4.56 + donor: 4350, 46 h.")
    assert "It meets all in 6 % of the draws, 35s + gears 4.56 + donor in 99 %." in printed
    steps = [line.split(":")[0] for line in printed.splitlines() if line[:2] in ("1.", "2.", "3.")]
    assert steps == ["1. gears 4.56", "2. tyres 33s", "3. axle donor"]


def test_the_study_of_parts_with_prices(service: str) -> None:
    printed = run_example("shortlist_study.py", service)
    assert "of 864 combinations meet all 5 targets" in printed
    code = (EXAMPLE.parent / "shortlist_study.py").read_text("utf-8").rpartition("import Client\n")[2]
    assert len([line for line in code.splitlines() if line]) <= 15


def run_example(name: str, service: str) -> str:
    ran = subprocess.run(
        [sys.executable, EXAMPLE.with_name(name), service],
        env={"PYTHONPATH": str(PACKAGE)},
        capture_output=True,
        text=True,
        timeout=60,
        check=True,
    )
    return ran.stdout

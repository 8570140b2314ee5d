"""Write every file that is made from the code, and only those that differ.

``python -m tests.regenerate`` writes the spec document, the cautions of each question, the kept answers, the
Python client's methods and the output of the examples in the documents; ``--workbook`` writes the spreadsheets
too. It prints each file that it changed: read the difference before you commit it. A file whose numbers differ
only beyond the twelfth digit stays as it is.
"""

import argparse
import json
import subprocess
import sys
import tempfile
import zipfile
from collections.abc import Iterator
from pathlib import Path

from gearing_api.http.spec import spec_text
from tests import documents
from tests.clients import generate_client
from tests.http import answers, other_builds
from tests.kept import rewrite, same
from tests.reading import cautions_by_question

ROOT = Path(__file__).parents[1]
SPEC = ROOT / "openapi" / "openapi.json"
CAUTIONS = ROOT / "gearing_api" / "http" / "pages" / "cautions.json"
WORKBOOK_SCRIPT = ROOT / "clients" / "spreadsheet" / "make_workbook.py"


def files() -> Iterator[tuple[Path, str]]:
    """Each file and what belongs into it."""
    yield SPEC, spec_text() + "\n"
    yield CAUTIONS, json.dumps(cautions_by_question(), indent=1) + "\n"
    yield generate_client.MODULE, generate_client.generated()
    yield from answers.files()
    yield from other_builds.files()
    yield from documents.files()


def remove_unknown(wanted: set[Path]) -> Iterator[Path]:
    """Remove kept answers of questions and formats that are gone; yield each."""
    for folder in (answers.PAIRS, answers.TEXTS, other_builds.FOLDER):
        for path in sorted(set(folder.iterdir()) - wanted):
            path.unlink()
            yield path


def rewrite_workbooks() -> Iterator[Path]:
    """Make the workbook anew; if it differs, convert it too and keep both; yield each."""
    workbook = WORKBOOK_SCRIPT.parent / "drivability.xlsx"
    with tempfile.TemporaryDirectory() as folder:
        made = Path(folder) / workbook.name
        subprocess.run([sys.executable, WORKBOOK_SCRIPT, "--out", folder, "--only-xlsx"], check=True)
        if not workbook.exists() or not same(_content(workbook), _content(made)):
            subprocess.run([sys.executable, WORKBOOK_SCRIPT], check=True)
            yield from (workbook, workbook.with_suffix(".ods"))


def _content(path: Path) -> list[str]:
    """Return the XML of a workbook."""
    with zipfile.ZipFile(path) as parts:
        return [text for name in sorted(parts.namelist()) for text in (name, parts.read(name).decode())]


def main(arguments: list[str] | None = None) -> None:
    """Write what differs and print its path."""
    parser = argparse.ArgumentParser(prog="python -m tests.regenerate", description=__doc__.splitlines()[0])
    parser.add_argument(
        "--workbook", action="store_true", help="write the workbooks too (needs XlsxWriter and LibreOffice)"
    )
    given = parser.parse_args(arguments)
    wanted = set()
    for path, made in files():
        wanted.add(path)
        if rewrite(path, made):
            print(path.relative_to(ROOT))
    for path in remove_unknown(wanted):
        print(path.relative_to(ROOT), "removed")
    if given.workbook:
        for path in rewrite_workbooks():
            print(path.relative_to(ROOT))


if __name__ == "__main__":
    main()

"""Write the example workbook: drivability.xlsx for Excel, and drivability.ods for LibreOffice, converted from it.

Run it after a change of the service's answers or of these files, with the service, XlsxWriter and LibreOffice
installed::

    python clients/spreadsheet/make_workbook.py

The numbers that the files show before anything is fetched are asked of the service within this process.
"""

import argparse
import subprocess
import tempfile
from pathlib import Path

from workbook.layout import Ask, Layout
from workbook.office_xml import as_office_xml
from workbook.truck import SERVICE

from gearing_api.app import create_app
from gearing_api.questions import QUESTIONS


def asker() -> Ask:
    """Return a function that asks the service without a network."""
    client = create_app().test_client()
    return lambda address: client.get(address.removeprefix(SERVICE)).get_data(as_text=True)


def convert(path: Path) -> None:
    """Write the workbook as OpenDocument beside it."""
    with tempfile.TemporaryDirectory() as profile:
        own = f"-env:UserInstallation={Path(profile).as_uri()}"
        command = [
            "soffice",
            own,
            "--headless",
            "--norestore",
            "--convert-to",
            "ods",
            "--outdir",
            path.parent,
            path,
        ]
        subprocess.run(command, check=True, capture_output=True, timeout=120)


def main() -> None:
    """Write both files."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--out", type=Path, default=Path(__file__).parent, help="the folder to write to")
    parser.add_argument("--only-xlsx", action="store_true", help="without LibreOffice")
    given = parser.parse_args()
    path: Path = given.out / "drivability.xlsx"
    layout = Layout(asker(), lambda question: QUESTIONS[question].fields)
    path.write_bytes(as_office_xml(layout.workbook()))
    if not given.only_xlsx:
        convert(path)


if __name__ == "__main__":
    main()

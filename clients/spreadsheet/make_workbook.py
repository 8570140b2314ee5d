"""Write the example workbook: drivability.fods for LibreOffice and drivability.xlsx for Excel.

Run it after a change of the service's answers or of these files, with the service and XlsxWriter installed::

    python clients/spreadsheet/make_workbook.py

The numbers that the files show before anything is fetched are asked of the service within this process.
"""

import argparse
from pathlib import Path

from workbook.flat_ods import as_flat_ods
from workbook.layout import Ask, Layout
from workbook.office_xml import as_office_xml
from workbook.truck import SERVICE

from gearing_api.app import create_app


def asker() -> Ask:
    """Asks the service without a network."""
    client = create_app().test_client()
    return lambda address: client.get(address.removeprefix(SERVICE)).get_data(as_text=True)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--out", type=Path, default=Path(__file__).parent, help="the folder to write to")
    out: Path = parser.parse_args().out
    ask = asker()
    (out / "drivability.fods").write_bytes(as_flat_ods(Layout(ask).workbook(with_link=True)))
    (out / "drivability.xlsx").write_bytes(as_office_xml(Layout(ask).workbook(with_link=False)))


if __name__ == "__main__":
    main()

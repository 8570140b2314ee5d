"""Options of the output, apart from its format."""

import re
from collections.abc import Sequence
from dataclasses import dataclass

_NUMBER = re.compile(
    r"(?<![\w.,/])(?<!CFR )(?<!CFR\n  )(?:\d{1,3}(?:,\d{3})+|\d+)(?:\.\d+)?(?![\w/]|[.,-]\d)"
)


@dataclass(frozen=True)
class OutputOptions:
    """`pick` names the results wanted; a decimal comma makes the CSV separator a semicolon; a chart has its
    size in pixels and its colours. In JSON rows of tables are arrays or objects, and a brief answer does
    without what was given and without sources; `windows` says where targets are met. With `bands` results have
    ranges; `tornado` names the number of which the answer tells what each input does to it."""

    pick: tuple[str, ...] = ()
    decimal_comma: bool = False
    byte_order_mark: bool = False
    chart_size: str = "800x500"
    chart_theme: str = "light"
    row_objects: bool = False
    brief: bool = False
    windows: bool = False
    bands: bool = False
    tornado: str = ""

    @property
    def separator(self) -> str:
        """Separator of CSV cells and of list items."""
        return ";" if self.decimal_comma else ","

    def number(self, value: float) -> str:
        """Write the shortest text that reads back as the same number."""
        text = repr(value)
        return text.replace(".", ",") if self.decimal_comma else text

    def in_prose(self, text: str) -> str:
        """Write a text with a decimal comma where that is asked for, and without commas between thousands.

        Sizes, tooth pairs and the numbers of rules stay as they are printed.

        Examples
        --------
        >>> OutputOptions(decimal_comma=True).in_prose("4.10 on 7.50-16: 5,300.5 lb; 49 CFR 393.82; 12.50R17, 4.1/4.56")
        '4,10 on 7.50-16: 5300,5 lb; 49 CFR 393.82; 12.50R17, 4.1/4.56'
        """
        if not self.decimal_comma:
            return text
        return _NUMBER.sub(lambda found: found[0].replace(",", "").replace(".", ","), text)

    def cell(self, value: object) -> str:
        """Write a value as a spreadsheet cell, empty if it is absent."""
        if value is None:
            return ""
        if isinstance(value, bool):
            return "TRUE" if value else "FALSE"
        if isinstance(value, list | tuple):
            pairs = (
                ":".join(map(self.cell, item)) if isinstance(item, list | tuple) else self.cell(item)
                for item in value
            )
            return self.separator.join(pairs)
        return self.number(value) if isinstance(value, int | float) else str(value)


def split_picks(names: str | Sequence[object]) -> tuple[str, ...]:
    """Return the names of results in a list, or in text separated by commas or semicolons."""
    text = names if isinstance(names, str) else ",".join(map(str, names))
    return tuple(name.strip() for name in re.split("[,;]", text) if name.strip())


def rounded(value: object, digits: int = 4) -> str:
    """Write a value for people with so many significant digits, whole from 1000 at the latest, a dash if absent."""
    if value is None:
        return "-"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, int | float):
        few = float(f"{value:.{digits}g}")
        return f"{few:.0f}" if abs(few) >= min(1000.0, float(f"1e{digits}")) else f"{few:.{digits}g}"
    return " ".join(rounded(item, digits) for item in value) if isinstance(value, list) else str(value)

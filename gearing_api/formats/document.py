"""Turn an answer into one plain document in the units of the build, from which every format is written."""

import math
from collections.abc import Sequence
from functools import cache
from typing import Any

import numpy as np

from gearing_api import __version__
from gearing_api.answer import (
    Absent,
    Answer,
    Caution,
    Column,
    Limits,
    Question,
    Ruler,
    Sheet,
    Source,
    Value,
    Varied,
    Window,
    by_level,
    verdict,
    why_absent,
)
from gearing_api.build import Build
from gearing_api.formats.findings import findings_as_document
from gearing_api.formats.plain import plain, plain_column, plain_results
from gearing_api.formats.ranges import (
    bands_as_document,
    share_out_ranges,
    summary_with_range,
    tornado_as_document,
)
from gearing_api.questions import answer_before, ask
from gearing_api.ranges.bands import Bands, bands_of
from gearing_api.ranges.pictures import softened_picture
from gearing_api.ranges.windows import softened
from gearing_api.units import Quantity, System
from gearing_api.vocabulary import CHANGE, RESULTS, FieldError, InvalidBuild, hint, label_of, result_named

Document = dict[str, Any]


_COLUMNS_BY_VALUE = ("speed_at_", "engine_speed_at_")
"""Beginnings of the columns that a table has besides those its question names: one for each speed asked."""


def answer_as_document(
    question: Question,
    build: Build,
    picks: Sequence[str] = (),
    *,
    drawn: bool = False,
    windows: bool = False,
    bands: bool = False,
    tornado: str = "",
) -> Document:
    """Ask the question and return its document; the names picked are checked before anything is computed.

    With `bands` it has ranges, what matters most and shares of the draws; `tornado` names a number of which it tells
    what each input alone does to it.

    Raises
    ------
    InvalidBuild
        If a name picked is no result or column, a field is missing, or fields contradict each other.
    """
    check_picks(question, picks)
    answer = ask(question, build)
    made = document(question, build, answer, picks, drawn=drawn, windows=windows, bands=bands)
    return made | {"tornado": tornado_as_document(question, build, tornado, answer)} if tornado else made


def document(
    question: Question,
    build: Build,
    answer: Answer,
    picks: Sequence[str] = (),
    *,
    drawn: bool = False,
    windows: bool = False,
    with_original: bool = True,
    bands: bool = False,
) -> Document:
    """The answer to one build, with plain numbers, words, lists and dicts only; its picture in SI if `drawn`.

    With `windows`, an answer about axle ratios says where its targets are met. Where names are picked, the
    document has only these results or columns; tables beside them, and beside a picture, are not computed.
    """
    system = build.system
    ruler = answer.windows() if answer.windows and (drawn or windows) else None
    if ruler is not None and bands:
        ruler = softened(ruler, build)
    shown = ruler or answer.picture() if drawn and answer.picture else None
    if bands and shown is not None and ruler is None:
        shown = softened_picture(shown, build)
    picture = {} if shown is None else {"picture": shown}
    tables = {
        name: _table(columns(), system)
        for name, columns in (("table", answer.table), ("what_if", answer.what_if))
        if columns and not drawn and _is_wanted(name, answer, picks)
    }
    made: Document = {
        "question": question.name,
        "version": __version__,
        "units": system,
        "verdict": verdict(question, answer),
        "summary": answer.summary(),
        "given": build.used(),
        "assumed": build.assumed(),
        "result": plain_results(answer.result, system),
        "result_units": _result_units(tuple(answer.result), system),
    }
    made["absent"] = {name: _absent(answer, name) for name, value in made["result"].items() if value is None}
    before = answer_before(question, build) if with_original else None
    cautions = list(answer.cautions)
    if isinstance(before, Caution):
        cautions.append(before)
    elif before is not None:
        made |= _before_and_change(answer, before, system)
        made["given"] = build.used()
    if answer.ranges:
        made["ranges"] = {
            name: [plain(end, RESULTS[name].quantity, system) for end in ends]
            for name, ends in answer.ranges.items()
        }
    if bands:
        wanted = _compared(picks, question, before) if picks else None
        found = bands_of(question, build, answer, before, wanted)
        made |= bands_as_document(found, system, made["given"])
        speaking = answer.sheet.speaking().question if answer.sheet else question
        made["summary"] = summary_with_range(speaking, made)
        if drawn and (picks or not isinstance(shown, Ruler | Limits)):
            picture = _varied(found, next(iter(picks), question.main))
    made |= tables | picture
    if windows and ruler is not None:
        made["windows"] = windows_as_document(ruler, system)
    if answer.findings is not None and not picks:
        made |= findings_as_document(answer.findings(), system)
    if answer.sheet is not None:
        made |= _missing(answer.sheet) if picks else _sheet(answer.sheet, windows)
        if bands and not picks:
            share_out_ranges(made)
    made["cautions"] = [_caution(caution) for caution in by_level(cautions) if caution.where]
    made["sources"] = [_source(source) for source in answer.sources]
    return picked(made, picks) if picks else made


def _varied(found: Bands, name: str) -> Document:
    """What a picture shows of a result that varies: some of its draws in order; nothing where none has a value."""
    column = found.outcomes.results.get(name)
    if column is None or result_named(name).quantity is None:
        return {}
    known = np.sort(column[np.isfinite(column)])
    dots = round(_DOTS * known.size / column.size)
    places = ((np.arange(dots) + 0.5) / max(dots, 1) * known.size).astype(np.intp)
    drivers = tuple((label_of(field), share) for field, share in found.drivers.get(name, ()))
    quantiles = tuple(known[places].tolist())
    return {"picture": Varied(name, quantiles, _DOTS - dots, drivers)} if dots else {}


_DOTS = 40
"""Dots that stand for the draws of a result."""


def _compared(picks: Sequence[str], question: Question, before: Answer | Caution | None) -> list[str]:
    """The results picked, with their changes where there is an answer before."""
    names = [name for name in picks if name in question.results]
    return names + [CHANGE + name for name in names if isinstance(before, Answer)]


def _before_and_change(answer: Answer, before: Answer, system: System) -> Document:
    """The results of the vehicle before the change, and by how much the numbers differ from them."""
    names = [name for name in answer.result if not RESULTS[name].against_original]
    apart: dict[str, Value] = {
        name: np.float64(_number(answer.result[name]) - _number(before.result[name]))
        for name in names
        if RESULTS[name].quantity is not None
    }
    change = plain_results(apart, system)
    return {
        "original": plain_results({name: before.result[name] for name in names}, system),
        "change": {name: number for name, number in change.items() if number is not None},
    }


def _number(value: Value) -> float:
    return math.nan if value is None or isinstance(value, str) else float(value.item())


def _is_wanted(table: str, answer: Answer, picks: Sequence[str]) -> bool:
    """Tell whether a table is in the document: all are, or only the one that has the names picked."""
    return not picks or (table == "table" and any(name not in answer.result for name in picks))


def _absent(answer: Answer, name: str) -> Document:
    value, reason = answer.result[name], answer.why(name)
    plain_value = None if value is None or isinstance(value, str) else value.item()
    found: Absent = why_absent(plain_value, reason) if isinstance(plain_value, float) else reason
    return {"why": found.why, "fields": list(found.fields)} if found.fields else {"why": found.why}


def _caution(caution: Caution) -> dict[str, str]:
    return {"level": caution.level, "code": caution.code, "text": caution.text}


def windows_as_document(ruler: Ruler, system: System) -> Document:
    """Write the stretches of axle ratio in which each target is met, and all that are judged."""
    return {
        "searched": list(ruler.searched),
        "targets": [
            {
                "target": window.name,
                "unit": window.quantity.unit(system),
                "least": _bound(window.least, window.quantity, system),
                "most": _bound(window.most, window.quantity, system),
                "judged": window.judged,
                "met": [list(stretch) for stretch in window.met],
            }
            | _soft(window)
            for window in ruler.windows
        ],
        "all_met": [list(stretch) for stretch in ruler.all_met],
    }


def _soft(window: Window) -> Document:
    """Where it is met by 19 in 20 builds like this one, and by 1 in 20, where that is known."""
    if window.sure is None or window.possible is None:
        return {}
    return {"sure": [*map(list, window.sure)], "possible": [*map(list, window.possible)]}


def _bound(end: float | None, quantity: Quantity, system: System) -> float | None:
    return None if end is None else end / quantity.factor(system)


def _sheet(sheet: Sheet, windows: bool) -> Document:
    return {
        "head": list(sheet.head),
        "parts": {
            part.question.name: document(*part, windows=windows, with_original=False) for part in sheet.parts
        },
        **_missing(sheet),
    }


def _missing(sheet: Sheet) -> Document:
    return {"missing": {name: list(fields) for name, fields in sheet.missing.items()}}


@cache
def _result_units(names: tuple[str, ...], system: System) -> dict[str, str]:
    return {name: RESULTS[name].unit(system) for name in names}


@cache
def _source(source: Source) -> dict[str, str]:
    return {"what": source.what, "kind": source.kind, "source": source.source}


def _table(columns: tuple[Column, ...], system: System) -> Document:
    values = [plain_column(column.values, column.quantity, system) for column in columns]
    return {
        "columns": [column.name for column in columns],
        "units": [column.quantity.unit(system) if column.quantity else "" for column in columns],
        "rows": list(map(list, zip(*values, strict=True))),
    }


def check_picks(question: Question, picks: Sequence[str]) -> None:
    """Refuse names that cannot be picked, or cannot be picked together.

    Raises
    ------
    InvalidBuild
        If a name is neither a result nor a column of the question, or both kinds are mixed.
    """
    for name in picks:
        by_value = question.table and name.startswith(_COLUMNS_BY_VALUE)
        if not (by_value or name in question.results or name in question.table):
            raise _not_picked(name, question.name, [*question.results, *question.table])
    only_results = [name for name in picks if name in question.results and name not in question.table]
    only_columns = [name for name in picks if name not in question.results]
    if only_results and only_columns:
        mixed = f"mixes a result, {only_results[0]}, with a column of the table, {only_columns[0]}"
        raise InvalidBuild([FieldError("pick", f"{mixed}: pick one kind at a time")])


def _not_picked(name: str, question: str, names: Sequence[str]) -> InvalidBuild:
    return InvalidBuild([FieldError("pick", f"names no result of {question}{hint(name, names)}", name)])


def picked(whole: Document, names: Sequence[str]) -> Document:
    """Return the document with only the results and table columns of those names."""
    results, table = whole["result"], whole.get("table")
    columns: list[str] = table["columns"] if table else []
    for name in names:
        if name not in results and name not in columns:
            raise _not_picked(name, whole["question"], [*results, *columns])
    kept = whole | {
        "result": {name: results[name] for name in names if name in results},
        "result_units": {name: whole["result_units"][name] for name in names if name in results},
    }
    for member in ("absent", "original", "change", "ranges", "drivers", "shares"):
        if member in whole:
            kept[member] = {
                name: value for name, value in whole[member].items() if result_named(name).name in names
            }
    if table:
        places = [columns.index(name) for name in names if name in columns]
        kept["table"] = {
            "columns": [columns[place] for place in places],
            "units": [table["units"][place] for place in places],
            "rows": [[row[place] for place in places] for row in table["rows"]],
        }
    return kept

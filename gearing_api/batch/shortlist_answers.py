"""Write a ranked shortlist as a plain document, with the sentences that say what each row gives up."""

import math
from collections.abc import Iterator, Sequence
from typing import Any

import numpy as np

from gearing_api import __version__
from gearing_api.answer import LEVELS, Level
from gearing_api.batch.columns import CautionKey, Picks
from gearing_api.batch.parts import Target
from gearing_api.batch.shortlist_bands import MOST_ROWS, Drawn, drawn_rows
from gearing_api.batch.shortlist_plans import Key, ShortlistPlan
from gearing_api.batch.shortlists import Found, Ranking, Spreads, Step, evaluate, steps
from gearing_api.formats.options import rounded
from gearing_api.formats.words import MOST_CAUTIONS, digits
from gearing_api.ranges.draws import COUNT
from gearing_api.vehicle import targets
from gearing_api.vocabulary import RESULTS, FieldError, enumerated, label_of, naming

Document = dict[str, Any]

LONGEST_SUMMARY = 200
_SUM_DIGITS = 6
_AS_GOOD = 5.0
"""Shares of draws that differ by so few percent cannot be told apart with 512 draws."""


def shortlist_document(ranked: Ranking, *, bands: bool = False) -> Document:
    """Return the answer with plain numbers, words, lists and dicts only; without errors and sources.

    With `bands` the first 50 rows tell in which share of draws they meet all and are best.
    """
    plan, spreads = ranked.plan, ranked.spreads
    shown, alone, rivals = ranked.rows, ranked.cheapest, ranked.rivals
    found = evaluate(plan, np.concatenate([shown, alone, np.array(rivals, dtype=np.intp)]))
    rows = _rows(found, np.arange(shown.size + alone.size), spreads)
    judged = [row for row, known in zip(found.rows.tolist(), found.judged.tolist(), strict=True) if known]
    drawn = drawn_rows(plan, list(dict.fromkeys(judged))[:MOST_ROWS]) if bands else None
    _tell_what_is_given_up(found, list(range(len(rows), found.rows.size)), rows, drawn)
    if drawn is not None:
        _tell_draws(drawn, found.rows.tolist(), rows)
    way = steps(plan, int(alone[0]), spreads) if alone.size else []
    return {
        "question": "shortlist",
        "version": __version__,
        "units": plan.system,
        "verdict": rows[0]["verdict"] if shown.size else "unknown",
        "summary": _summary(ranked, rows[: shown.size]),
        "combinations": ranked.count,
        "meeting": ranked.meeting,
        "beaten": ranked.beaten,
        "unbeaten": ranked.kept.size,
        "unjudged": ranked.unjudged,
        "refused": ranked.refused,
        "result_units": {name: plan.quantity(name).unit(plan.system) for name in plan.results},
        "targets": {target.name: _bounds(plan, target) for target in plan.targets},
        "aims": dict(plan.aims),
        "rows": rows[: shown.size],
        "cheapest": rows[-1] if alone.size else None,
        "steps": _steps(plan, way, spreads),
        "fallbacks": {key.name: _fallbacks(plan, key) for key in plan.keys if key.lacking},
        "cautions": [
            {"level": level, "code": code, "text": text, "count": count}
            for (code, text, level), count in sorted(ranked.cautions.items(), key=_gravity)
        ],
    }


def _gravity(counted: tuple[CautionKey, int]) -> tuple[int, str, str]:
    code, text, level = counted[0]
    return LEVELS.index(level), code, text


def errors_of(ranked: Ranking) -> Iterator[tuple[FieldError, Document]]:
    """Yield each reason why combinations were refused, with their number and the choices of the first."""
    for fault, count, first in ranked.faults.values():
        yield fault, {"count": count, "choices": _choices(ranked.plan, first)}


def label(plan: ShortlistPlan, row: int) -> str:
    """Name a combination by its choices; a key with one choice says nothing."""
    words = [key.labels[place] for key, place in plan.chosen(row) if len(key.choices) > 1]
    return " + ".join(words or [key.labels[0] for key in plan.keys])


def _choices(plan: ShortlistPlan, row: int) -> Document:
    return {key.name: key.choices[place] for key, place in plan.chosen(row)}


def _bounds(plan: ShortlistPlan, target: Target) -> Document:
    factor = plan.quantity(target.name).factor(plan.system)
    ends = {"least": target.least, "most": target.most}
    return {name: end / factor for name, end in ends.items() if end is not None}


def _fallbacks(plan: ShortlistPlan, key: Key) -> Document:
    """Return for each choice which fields of the others it takes from the build, and which it has not at all."""
    return {
        name: {
            "from_build": [field for field in fields if field in plan.build],
            "not_given": [field for field in fields if field not in plan.build],
        }
        for name, fields in key.lacking.items()
    }


def _rows(found: Found, places: Picks, spreads: Spreads) -> list[Document]:
    """Return rows as documents, without what they give up."""
    plan = found.plan
    met, short = found.met()[:, places], found.shortfalls(spreads)[:, places]
    judged = found.judged[places]
    words = targets.meets(np.count_nonzero(met, axis=0), len(plan.targets)).tolist()
    rows = []
    for at, place in enumerate(places.tolist()):
        number = int(found.rows[place])
        cautions = _cautions(found, place)
        made: Document = {
            "choices": _choices(plan, number),
            "label": label(plan, number),
            "verdict": _verdict(cautions, bool(judged[at])),
            "sums": {name: _plain(found.figures[name][place]) for name in plan.sums},
            "results": {name: _in_units(plan, name, found.figures[name][place]) for name in plan.results},
            "absent": _absent(found, place),
            "meets": words[at] if judged[at] else None,
            "misses": [
                _missed(found, place, target, float(short[target, at]))
                for target in range(len(plan.targets))
                if not met[target, at] and not math.isnan(found.figures[plan.targets[target].name][place])
            ],
            "gives_up": "",
            "cautions": cautions,
        }
        rows.append(made)
    return rows


def _plain(value: Any) -> float | None:
    return float(value) if math.isfinite(value) else None


def _in_units(plan: ShortlistPlan, name: str, value: Any) -> float | None:
    return _plain(value / plan.quantity(name).factor(plan.system))


def _missed(found: Found, place: int, at: int, share: float) -> Document:
    """Return by how much a row misses a target: in its unit, and in parts of the target."""
    plan = found.plan
    target = plan.targets[at]
    value = float(found.figures[target.name][place])
    low = target.least is not None and value < target.least
    end = target.least if low else target.most
    assert end is not None
    return {
        "name": target.name,
        "bound": "least" if low else "most",
        "by": _in_units(plan, target.name, abs(end - value)),
        "share": _plain(share),
    }


def _absent(found: Found, place: int) -> Document:
    told = {}
    for part in found.parts:
        for (name, reason), marks in part.rows.absent.items():
            if marks[part.where[place]]:
                told[name] = {"why": reason.why} | ({"fields": list(reason.fields)} if reason.fields else {})
    return told


def _cautions(found: Found, place: int) -> list[Document]:
    """Return the cautions of a row above the level of a note, each once, the gravest first."""
    told: dict[tuple[str, str], Level] = {}
    for part in found.parts:
        for (code, text, level), marks in part.rows.cautions.items():
            if level != "note" and marks[part.where[place]]:
                told[code, text] = level
    graded = sorted(told.items(), key=lambda item: LEVELS.index(item[1]))
    return [{"level": level, "code": code, "text": text} for (code, text), level in graded]


def _verdict(cautions: Sequence[Document], judged: bool) -> str:
    if cautions and cautions[0]["level"] == "stop":
        return "stop"
    return "unknown" if not judged else "check" if cautions else "clear"


def _tell_what_is_given_up(
    found: Found, best: Sequence[int], rows: list[Document], drawn: Drawn | None = None
) -> None:
    """Write for each judged row one sentence that compares it with the best in each aim."""
    judged = found.judged
    for place, row in enumerate(rows):
        row["gives_up"] = (
            _given_up(found, place, best, drawn) if judged[place] else f"Not judged: {_lacking(row)}."
        )


def _tell_draws(drawn: Drawn, numbers: Sequence[int], rows: list[Document]) -> None:
    """Write into each row that was drawn its ranges, and how often it meets all and is best."""
    plan = drawn.plan
    met, best = np.count_nonzero(drawn.met, axis=1), np.count_nonzero(drawn.best(), axis=1)
    regrets = {name: drawn.regret(name) for name in plan.aims}
    for number, row in zip(numbers, rows, strict=False):
        if number not in drawn.rows:
            continue
        place = drawn.rows.index(number)
        row["ranges"] = {
            name: [_in_units(plan, name, end) for end in ends] for name, ends in drawn.ends(number).items()
        }
        row["meets_share"] = int(met[place]) / COUNT
        row["best_share"] = int(best[place]) / COUNT
        row["regret"] = {name: _in_units(plan, name, each[place]) for name, each in regrets.items()}
        row["depends_on"] = [{"field": name, "share": share} for name, share in drawn.depends_on(number)]


def _lacking(row: Document) -> str:
    """Say of a row that is not judged which figures it lacks, and why."""
    told = []
    for name, reason in row["absent"].items():
        fields = reason.get("fields", ())
        if row["results"].get(name, 0.0) is None and reason["why"] not in ("no limit", "none does"):
            told.append(f"{label_of(name)} {'needs ' + naming(fields) if fields else reason['why']}")
    return "; ".join(told)


def _given_up(found: Found, place: int, best: Sequence[int], drawn: Drawn | None) -> str:
    plan = found.plan
    first: list[str] = []
    others: list[str] = []
    for (name, aim), rival in zip(plan.aims.items(), best, strict=True):
        own, theirs = (found.figures[name][at] for at in (place, rival))
        if own == theirs:
            first.append(label_of(name))
            continue
        worse = "higher" if aim == "low" else "lower"
        amount = _amount(plan, name, abs(own - theirs))
        row, other = int(found.rows[place]), int(found.rows[rival])
        instead = _differing(plan, other, row)
        if drawn is not None and drawn.as_good(name, row, other):
            others.append(f"{label_of(name)} as good as with {instead}")
            continue
        others.append(f"{label_of(name)} {amount}{worse} than with {instead}")
    text = "; ".join([f"best in {enumerated(first)}", *others] if first else others)
    return f"{text[:1].upper()}{text[1:]}." if text else ""


def _differing(plan: ShortlistPlan, row: int, other: int) -> str:
    """Name the choices of a combination that another does not have."""
    pairs = zip(plan.chosen(row), plan.chosen(other), strict=True)
    return " + ".join(key.labels[place] for (key, place), (_, their) in pairs if place != their)


def _amount(plan: ShortlistPlan, name: str, difference: float) -> str:
    """Write a difference with its unit; empty where text never shows the figure alone, or it is infinite."""
    if not math.isfinite(difference) or (name not in plan.sums and RESULTS[name].only_as_range):
        return ""
    few = _SUM_DIGITS if name in plan.sums else digits(name)
    value = difference / plan.quantity(name).factor(plan.system)
    return f"{rounded(value, few)} {plan.quantity(name).unit(plan.system)}".strip() + " "


def _summary(ranked: Ranking, rows: Sequence[Document]) -> str:
    plan, combinations = ranked.plan, ranked.count
    if not rows:
        return "Every combination is refused: errors say why."
    if rows[0]["meets"] is None:
        return _cut(f"No combination can be judged: {_lacking(rows[0])}.")
    count = len(plan.targets)
    what = {0: "", 1: "the target", 2: "both targets"}.get(count, f"all {count} targets")
    first = rows[0]["label"]
    if ranked.missing:
        missed = ", ".join(label_of(miss["name"]) for miss in rows[0]["misses"])
        text = f"None of {combinations} combinations meets {what}; the nearest is {first}, which misses {missed}."
    else:
        left = ranked.kept.size
        none_beats = f"nothing beats {left} of them"
        if left == 1:
            none_beats = "one beats all others" if ranked.meeting > 1 else ""
        of_all = f"of {combinations} combinations"
        meet = "meets" if ranked.meeting == 1 else "meet"
        met = f"{ranked.meeting} {of_all} {meet} {what}" if what else f"{left} {of_all} nothing beats"
        met += f"; {none_beats}" if what and none_beats else ""
        text = f"{met}. First: {first}."
    if plan.targets:
        text += _share_of_draws(rows)
    if rows[0]["verdict"] == "stop":
        text = f"It has a stop: read its cautions first. {text}"
    return _cut(text)


def _share_of_draws(rows: Sequence[Document]) -> str:
    """Say how often the first row meets all, and which row does so more often."""
    drawn = [row for row in rows if "meets_share" in row]
    if not drawn or drawn[0] is not rows[0]:
        return ""
    surest = max(drawn, key=lambda row: float(row["meets_share"]))
    first, most = (100.0 * row["meets_share"] for row in (rows[0], surest))
    text = f" It meets all in {first:.0f} % of the draws"
    return f"{text}, {surest['label']} in {most:.0f} %." if most > first + _AS_GOOD else f"{text}."


def _cut(text: str) -> str:
    return text if len(text) <= LONGEST_SUMMARY else text[: LONGEST_SUMMARY - 1] + "…"


def _steps(plan: ShortlistPlan, way: Sequence[Step], spreads: Spreads) -> list[Document]:
    """Return each single change with its price, what it adds, and what is missing after it."""
    if not way:
        return []
    found = evaluate(plan, np.array([0, *(step.row for step in way)]))
    rows = _rows(found, np.arange(found.rows.size), spreads)
    short = found.shortfalls(spreads)
    largest = short.max(axis=0) if short.size else np.zeros(found.rows.size)
    told = []
    for at, step in enumerate(way, start=1):
        before, after = rows[at - 1], rows[at]
        told.append(
            {
                "key": step.key.name,
                "from": before["choices"][step.key.name],
                "to": after["choices"][step.key.name],
                "sums": {name: after["sums"][name] - before["sums"][name] for name in plan.sums},
                "adds": {
                    name: _difference(before["results"][name], after["results"][name])
                    for name in plan.results
                },
                "results": after["results"],
                "meets": after["meets"],
                "largest_shortfall": _plain(largest[at]),
                "text": _step_text(plan, at, step, before, after),
            }
        )
    return told


def _difference(before: float | None, after: float | None) -> float | None:
    return None if before is None or after is None else after - before


def _step_text(plan: ShortlistPlan, at: int, step: Step, before: Document, after: Document) -> str:
    place = next(place for key, place in plan.chosen(step.row) if key is step.key)
    added = {name: after["sums"][name] - before["sums"][name] for name in plan.sums}
    prices = [f"{label_of(name)} {_signed(value)}" for name, value in added.items() if value]
    changed = [
        f"{label_of(name)} {rounded(before['results'][name], digits(name))} to "
        f"{rounded(after['results'][name], digits(name))} {plan.quantity(name).unit(plan.system)}".rstrip()
        for name in plan.results
        if before["results"][name] != after["results"][name] and not RESULTS[name].only_as_range
    ]
    told = "; ".join([", ".join(prices)] * bool(prices) + changed)
    return f"{at}. {_named(step.key, place)}" + (f": {told}." if told else ".")


def _named(key: Key, place: int) -> str:
    """Name a choice with its key, unless the label has the key already."""
    words, name = key.labels[place], label_of(key.name)
    return words if words.startswith(name) else f"{name} {words}"


def _signed(value: float) -> str:
    return f"+{rounded(value, _SUM_DIGITS)}" if value > 0.0 else rounded(value, _SUM_DIGITS)


def as_text(document: Document) -> str:
    """Write the answer for a terminal: the summary, the rows, and the steps to the cheapest."""
    lines = [document["summary"]]
    for place, row in enumerate(document["rows"], start=1):
        figures = [f"{label_of(name)} {rounded(value, _SUM_DIGITS)}" for name, value in row["sums"].items()]
        figures += [
            f"{label_of(name)} {rounded(value, digits(name))} {document['result_units'][name]}".rstrip()
            for name, value in row["results"].items()
            if value is not None and not RESULTS[name].only_as_range
        ]
        lines += [
            "",
            f"{place}. {row['label']}: meets {row['meets'] or 'not known'}",
            f"   {'; '.join(figures)}",
        ]
        if "meets_share" in row:
            shares = [round(100.0 * row[name]) for name in ("meets_share", "best_share")]
            lines.append(f"   meets all in {shares[0]} %, is best in {shares[1]} % of the draws")
        missed = [f"{label_of(miss['name'])}" for miss in row["misses"]]
        lines += [f"   misses {enumerated(missed)}"] if missed else []
        lines += [f"   {row['gives_up']}"] if row["gives_up"] else []
        lines += [f"   {caution['level']}: {caution['text']}" for caution in row["cautions"]]
    if document["steps"]:
        lines += ["", "The cheapest, in this order:", *(step["text"] for step in document["steps"])]
    notes = [caution["text"] for caution in document["cautions"] if caution["level"] == "note"]
    return "\n".join([*lines, *([""] if notes else []), *(f"note: {text}" for text in notes[:MOST_CAUTIONS])])

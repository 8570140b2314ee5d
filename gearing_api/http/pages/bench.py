"""What the bench shows of a build: the summary, verdict rows and pictures, ready for a template.

Rows come from the `row` of each question and chips from the groups of fields, so that a new question needs
nothing here.
"""

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import Any, NamedTuple

from gearing_api.answer import LEVELS, Answer, Limits, Question, Ruler, Spans
from gearing_api.answer import Part as Asking
from gearing_api.build import Build, is_known
from gearing_api.formats.document import Document, check_picks, document
from gearing_api.formats.drawing import as_page_part, retold
from gearing_api.formats.options import OutputOptions, rounded
from gearing_api.formats.pictures import NARROW, WIDE, drawing_of
from gearing_api.formats.ranges import ends_or_least, two_ends
from gearing_api.formats.words import digits, shown, stops_and_others
from gearing_api.http.pages import snippets
from gearing_api.http.pages.build_form import (
    SHEET,
    Asked,
    Chip,
    Errors,
    Fieldset,
    Form,
    anchor_of,
    suggested_values,
    unit_of,
)
from gearing_api.http.pages.conversion import as_text
from gearing_api.questions import QUESTIONS, ask
from gearing_api.ranges.pictures import softened_picture
from gearing_api.vocabulary import CHANGE, enumerated, for_people, group_of, label_of, plain_name

ROWS = (
    "feel", "road", "climb", "crawl", "downhill", "strength", "load", "speedometer", "driveline",
)  # fmt: skip
"""The order of the rows; any other follows."""

WORDS = {
    "stop": "stop", "check": "check", "needs": "needs", "unknown": "not known", "clear": "nothing found",
}  # fmt: skip
"""Verdicts as people read them, the gravest first: never a word that permits or rates."""

_NUMBER = re.compile(r"(?<![\w./,])\d[\d,]*(?:\.\d+)?(?![\w/])")
_NEAR = 0.06  # relative: how far a number of a sentence is rounded from the result it tells
_US_VOLUMES = {"mpg": "mpg (US)", "gal": "gal (US)", "gal/100 mi": "gal (US)/100 mi"}


class Heard(NamedTuple):
    """What was understood of a sentence: the sentence, what was assumed, what was left over, what to ask."""

    said: str
    assumed: Sequence[tuple[str, str]]
    left: list[str]
    ask: str


class Sentence(NamedTuple):
    """A sentence with its deciding number apart."""

    before: str
    number: str
    after: str


class Part(NamedTuple):
    """The answer to one question within a row."""

    name: str
    title: str
    asks: str
    query: str
    level: str
    sentence: Sentence
    answer: Document
    names: list[str]
    needs: list[str]


class Row(NamedTuple):
    """A verdict: `needs` is the anchor of the chip that it waits for; `other` is what the kept build says."""

    name: str
    level: str
    word: str
    sentence: Sentence
    anchor: str
    parts: list[Part]
    other: "Row | None"
    difference: str

    @property
    def cautions(self) -> list[Document]:
        """The cautions of all its questions, each once, the gravest first."""
        found = {
            caution["code"]: caution for part in self.parts for caution in part.answer.get("cautions", ())
        }
        return sorted(found.values(), key=lambda caution: LEVELS.index(caution["level"]))

    @property
    def sources(self) -> list[Document]:
        """The sources of all its questions, each once."""
        found = {source["what"]: source for part in self.parts for source in part.answer.get("sources", ())}
        return list(found.values())

    @property
    def assumed(self) -> dict[str, Any]:
        """What its questions assumed."""
        return {name: value for part in self.parts for name, value in part.answer.get("assumed", {}).items()}

    @property
    def answered(self) -> list[Part]:
        """Those of its questions that have an answer."""
        return [part for part in self.parts if part.answer]


class Choice(NamedTuple):
    """A ratio of a ranked table, and why it ranks there."""

    label: str
    ratio: str
    meets: str
    reason: str


class Figure(NamedTuple):
    """A drawing with its title, as wide as a column and as a phone; `fitted` is the axle ratio of the build."""

    title: str
    wide: str
    narrow: str
    fitted: str


_DECISIVE = (Ruler, Limits, Spans)
"""Pictures that the bench shows; those of another kind stand in their row."""

_SAME_RATIO = 0.002  # relative: a ratio written with two decimals


@dataclass(frozen=True)
class Bench:
    """All that the template shows of one build; of a build that was refused only the form."""

    asked: Asked
    question: Question
    chips: list[Chip]
    fieldsets: list[Fieldset]
    answer: Document = field(default_factory=dict)
    headline: Sentence | None = None
    level: str = "unknown"
    rows: Sequence[Row] = ()
    pictures: Mapping[str, Figure] = field(default_factory=dict)
    drawn: frozenset[str] = frozenset()
    cautions: tuple[list[Document], list[Document]] = ([], [])
    root: str = ""

    words = WORDS

    @property
    def sheet(self) -> bool:
        """Whether all questions are answered."""
        return self.question.name == SHEET

    @property
    def choices(self) -> list[Choice]:
        """The ratios to weigh."""
        fitted = next((figure.fitted for figure in self.pictures.values()), "")
        return choices(self.answer, fitted)

    @property
    def names(self) -> list[str]:
        """The results that its page shows: of measurements those that are known, else all."""
        return known(self.answer) if self.question.measures else list(self.answer["result"])

    @property
    def query(self) -> str:
        """The query of the build."""
        return self.asked.query()

    @property
    def link(self) -> str:
        """The address that leads here again, with the build to compare with."""
        return f"{self.root}{self.asked.address}?{self.query}{self.asked.and_kept}"

    @property
    def without_ranges(self) -> str:
        """The address of the same with one figure for each result."""
        return replace(self.asked, bands=False).link({})

    @property
    def with_findings(self) -> str:
        """The address of the bench with what measurements found, with ranges; empty if it would lack a field."""
        sheet = QUESTIONS[SHEET]
        comma = self.asked.comma
        found = {name: _typed(value, comma=comma) for name, value in self.answer.get("build", {}).items()}
        given = {*self.asked.values, *found}
        if not found or not all(is_known(need, given) for need in sheet.needs):
            return ""
        return f"/?{replace(self.asked, bands=True).query(sheet.fields, **found)}"

    @cached_property
    def sources(self) -> dict[str, int]:
        """The sources of all rows, each with its number on the page."""
        texts = [_source_text(source) for row in self.rows for source in row.sources]
        return {text: place for place, text in enumerate(dict.fromkeys(texts), 1)}

    def numbers(self, row: Row) -> list[int]:
        """The numbers of a row's sources."""
        numbered = self.sources
        return sorted({numbered[_source_text(source)] for source in row.sources})

    @property
    def suggested(self) -> dict[str, list[str]]:
        """Lists of values that inputs suggest, those of the form alone."""
        used = {one.suggestions for part in self.fieldsets for one in (*part.first, *part.more)}
        return {name: values for name, values in suggested_values().items() if name in used}

    @property
    def snippets(self) -> dict[str, str]:
        """How programs ask for this build."""
        return snippets.of(self.question, self.asked.values, self.asked.system, self.asked.comma, self.root)

    @property
    def others(self) -> dict[str, str]:
        """The other questions that this build answers, with their queries."""
        given = {plain_name(name) for name in self.asked.values}
        return {
            name: _own_query(question, self.asked)
            for name, question in QUESTIONS.items()
            if name != self.question.name
            and all(is_known(need, self.asked.values.keys()) for need in question.needs)
            and given & set(question.needs)
        }

    def told(self, text: str) -> str:
        """A text of the service with the decimal mark asked for; what somebody typed has it already."""
        return _in_prose(text, self.asked)

    def needed(self, row: Row) -> str:
        """What a row waits for, in short."""
        return f"needs {label_of(row.parts[0].needs[0])}"

    def figure(self, answer: Document, name: str) -> tuple[str, str]:
        """A result and its unit as people read them."""
        text, unit = shown(answer, name)
        return text, unit_shown(unit)

    def before(self, answer: Document, name: str) -> str:
        """What a result was before the change, and by how much it differs; empty where it is the same."""
        few = digits(name)
        then = self.answer.get("original", {}).get(name)
        if then is None or rounded(then, few) == rounded(answer["result"][name], few):
            return ""
        text = f"before {rounded(then, few)}"
        step = self.answer["change"].get(name)
        if CHANGE + name in self.answer.get("ranges", {}):
            return f"{text}, change {two_ends(*self.answer['ranges'][CHANGE + name])}"
        return text if step is None else f"{text}, change {'+' if step > 0 else ''}{rounded(step, 3)}"

    def assumed_text(self, row: Row) -> str:
        """What a row's questions assumed, in one line."""
        return ", ".join(
            f"{label_of(name)} {rounded(value)} {unit_of(name, self.asked.system)}".rstrip()
            for name, value in row.assumed.items()
        )


def _in_prose(text: str, asked: Asked) -> str:
    return OutputOptions(decimal_comma=asked.comma).in_prose(text)


def _typed(value: object, *, comma: bool) -> str:
    """A field that was found as somebody would type it; a range with its unit is text already."""
    if isinstance(value, str):
        return value.replace(".", ",") if comma else value
    return as_text(value, comma=comma)


def _source_text(source: Document) -> str:
    return for_people(f"{source['what']}: {source['source']} ({source['kind']})")


def bench(
    question: Question,
    build: Build,
    asked: Asked,
    root: str = "",
    picks: Sequence[str] = (),
    kept: Bench | None = None,
) -> Bench:
    """The bench of one question about a build; `kept` is that of the build to compare with.

    Raises
    ------
    InvalidBuild
        If a field is missing, or the fields contradict each other.
    """
    check_picks(question, picks)
    answer = ask(question, build)
    made = document(question, build, answer, picks, bands=asked.bands)
    others = {row.name: row for row in kept.rows} if kept else {}
    parts = made.get("parts", {question.name: made})
    form = Form(question, asked, made["assumed"])
    pictures, drawn = _pictures(question, build, answer, asked)
    return Bench(
        asked=asked,
        question=question,
        chips=form.chips(),
        fieldsets=form.fieldsets(),
        answer=made,
        headline=sentence(parts.get(answer.sheet.speaking().question.name, made) if answer.sheet else made),
        level=made["verdict"],
        rows=rows(parts, made.get("missing", {}), asked, others),
        pictures=pictures,
        drawn=drawn,
        cautions=stops_and_others(made),
        root=root,
    )


def refused(question: Question, asked: Asked, errors: Errors, root: str = "") -> Bench:
    """The form alone, with each error at its field."""
    form = Form(question, asked, errors=errors)
    return Bench(
        asked=asked,
        question=question,
        chips=form.chips(),
        fieldsets=form.fieldsets(),
        root=root,
    )


def _pictures(
    question: Question, build: Build, answer: Answer, asked: Asked
) -> tuple[dict[str, Figure], frozenset[str]]:
    """The drawings of the answer, each for a column and for a phone, of a sheet those that decide; and which of its
    questions have one.
    """
    fitted = f"{build.again().number('axle_ratio').item():.6g}" if build.has("axle_ratio") else ""
    found: dict[str, Figure] = {}
    drawn = set()
    for part in answer.sheet.parts if answer.sheet else (Asking(question, build, answer),):
        picture = part.answer.picture() if part.answer.picture else None
        if picture is None:
            continue
        drawn.add(part.question.name)
        if answer.sheet and not isinstance(picture, _DECISIVE):
            continue
        picture = softened_picture(picture, part.build) if asked.bands else picture
        wide, narrow = (
            retold(
                drawing_of(part.question.name, picture, build.system, width, link=asked.link),
                lambda text: _in_prose(text, asked),
            )
            for width in (WIDE, NARROW)
        )
        found[wide.name] = Figure(wide.title, as_page_part(wide), as_page_part(narrow), fitted)
    ordered = dict(sorted(found.items(), key=lambda one: "data-ratio" not in one[1].wide))
    return ordered, frozenset(drawn)


def choices(answer: Document, fitted: str) -> list[Choice]:
    """Of a ranked table the first row, the one fitted, and those next to the first, with the reason for each."""
    ranked = answer.get("table")
    if not ranked or not {"axle_ratio", "reason"} <= set(ranked["columns"]) or not ranked["rows"]:
        return []
    rows = [dict(zip(ranked["columns"], row, strict=True)) for row in ranked["rows"]]
    ordered = sorted(rows, key=lambda row: float(row["axle_ratio"]))
    place = ordered.index(rows[0])
    named = {"recommended": rows[0]}
    if fitted:
        named["fitted"] = min(rows, key=lambda row: abs(row["axle_ratio"] / float(fitted) - 1.0))
        if abs(named["fitted"]["axle_ratio"] / float(fitted) - 1.0) > _SAME_RATIO:
            del named["fitted"]
    if place > 0:
        named["next below"] = ordered[place - 1]
    if place + 1 < len(ordered):
        named["next above"] = ordered[place + 1]
    return [
        Choice(label, f"{row['axle_ratio']:.4g}", row["meets"] or "", row["reason"] or "")
        for label, row in named.items()
    ]


def sentence(answer: Document) -> Sentence:
    """Part a summary at its deciding number: the one of the main result, else the first."""
    text = for_people(answer["summary"])
    question = QUESTIONS[answer["question"]]
    told = [answer["result"].get(name) for name in (question.spoken, question.main)]
    found = list(_NUMBER.finditer(text))
    if not found:
        return Sentence(text, "", "")
    chosen = next((number for value in told for number in found if _tells(number[0], value)), found[0])
    return Sentence(text[: chosen.start()], chosen[0], text[chosen.end() :])


def _tells(number: str, value: object) -> bool:
    if not isinstance(value, float | int) or isinstance(value, bool):
        return False
    return abs(float(number.replace(",", "")) - abs(value)) <= _NEAR * abs(value)


def rows(
    parts: Mapping[str, Document], missing: Mapping[str, list[str]], asked: Asked, others: Mapping[str, Row]
) -> list[Row]:
    """A row for each name of one, with the questions that stand in it."""
    found: dict[str, list[Question]] = {name: [] for name in ROWS}
    for name in (*parts, *missing):
        found.setdefault(QUESTIONS[name].row or name, []).append(QUESTIONS[name])
    return [
        _row(name, sorted(questions, key=lambda one: not one.leads), parts, missing, asked, others)
        for name, questions in found.items()
        if questions
    ]


def _row(
    name: str,
    questions: list[Question],
    parts: Mapping[str, Document],
    missing: Mapping[str, list[str]],
    asked: Asked,
    others: Mapping[str, Row],
) -> Row:
    listed = [
        _part(question, parts[question.name], asked)
        if question.name in parts
        else _lacking(question, missing[question.name], asked)
        for question in questions
    ]
    told = [part for part in listed if part is listed[0] or part.level != "needs"]
    gravest = min(told, key=lambda part: list(WORDS).index(part.level))
    anchor = anchor_of(group_of(gravest.needs[0])) if gravest.needs else ""
    other = others.get(name)
    return Row(
        name, gravest.level, WORDS[gravest.level], gravest.sentence, anchor, listed, other,
        _difference(other.parts[0], listed[0]) if other else "",
    )  # fmt: skip


def _part(question: Question, answer: Document, asked: Asked) -> Part:
    return Part(
        question.name, as_words(question.name), question.asks, _own_query(question, asked), answer["verdict"],
        _with_range(sentence(answer), question, answer), answer, known(answer), [],
    )  # fmt: skip


def _with_range(told: Sentence, question: Question, answer: Document) -> Sentence:
    """Add between which ends 9 in 10 builds like this one lie in what the sentence is about, where that varies."""
    found = answer["ranges"] if "drivers" in answer else {}
    name = next((name for name in (question.spoken, question.main) if name in found), None)
    if name is None or "9 in 10" in str(answer["summary"]) or len(set(found[name])) == 1:
        return told
    ends = ends_or_least(answer["result"][name], *found[name])
    unit = unit_shown(answer["result_units"][name])
    return told._replace(after=f"{told.after} 9 in 10: {label_of(name)} {ends} {unit}".rstrip() + ".")


def _lacking(question: Question, fields: list[str], asked: Asked) -> Part:
    more = f" It also needs {in_words(fields[1:])}." if fields[1:] else ""
    text = f"{question.asks}{more}"
    return Part(
        question.name, as_words(question.name), question.asks, _own_query(question, asked), "needs",
        Sentence(text, "", ""), {}, [], fields,
    )  # fmt: skip


def in_words(fields: Iterable[str]) -> str:
    """Name fields in a sentence."""
    return enumerated([label_of(name) for name in fields])


def _own_query(question: Question, asked: Asked) -> str:
    fields = set(question.fields)
    return asked.query(name for name in asked.values if {name, plain_name(name)} & fields)


def _difference(one: Part, other: Part) -> str:
    """By how much the main result of a question differs between two builds."""
    main = QUESTIONS[one.name].main
    values = [part.answer.get("result", {}).get(main) for part in (one, other)]
    if not all(isinstance(value, float | int) for value in values):
        return ""
    step = values[1] - values[0]
    unit = unit_shown(other.answer["result_units"][main])
    return f"{label_of(main)} {'+' if step > 0 else ''}{rounded(step, 2)} {unit}".rstrip()


def as_words(name: str) -> str:
    """Write a name of the service as words."""
    return name.replace("-", " ").replace("_", " ").capitalize()


def known(answer: Document) -> list[str]:
    """Return the names of the results that have a value."""
    return [name for name, value in answer["result"].items() if value is not None]


def unit_shown(unit: str) -> str:
    """Write a unit so that nobody takes one gallon for the other."""
    return _US_VOLUMES.get(unit, unit)

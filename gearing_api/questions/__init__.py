"""The questions, one module each, and the one way to ask them."""

from collections.abc import Iterator, Mapping

from gearing_api.answer import Answer, Caution, Question, note
from gearing_api.build import Build
from gearing_api.mechanics.domain import DomainError
from gearing_api.questions import build_sheet
from gearing_api.units import System
from gearing_api.vocabulary import (
    ALL_FIELDS,
    FIELDS,
    ORIGINAL,
    RESULTS,
    FieldError,
    InvalidBuild,
    label_of,
    read_fields,
    read_ranges,
)

QUESTIONS: dict[str, Question] = {
    question.name: question for question in (*build_sheet.PARTS, *build_sheet.APART, build_sheet.QUESTION)
}

OWNERS: dict[str, Question] = {
    name: question for question in reversed(QUESTIONS.values()) for name in question.results
}
"""The one question that each result name belongs to: the first that gives it."""


def read_build(
    raw: Mapping[str, object], system: System = "us", received: Mapping[str, object] | None = None
) -> Build:
    """A build from wire values; `received` is what the answer repeats as given, where it is not `raw`.

    Raises
    ------
    InvalidBuild
        If a field is not known or refused.
    """
    values = read_fields(raw, system)
    return Build(values, raw if received is None else received, system, read_ranges(raw, system))


def require_needs(question: Question, build: Build) -> None:
    """Refuse a build that lacks a field the question needs.

    Raises
    ------
    InvalidBuild
        With every such field.
    """
    missing = build.missing(question.needs)
    if missing:
        raise InvalidBuild([needed(name, question, build.system) for name in missing])


def ask(question: Question, build: Build) -> Answer:
    """The answer to a question about a build.

    Raises
    ------
    InvalidBuild
        If a field is missing, or the fields contradict each other.
    """
    require_needs(question, build)
    answer = question.answer(build)
    if question.measures or not build.between:
        return answer
    return answer._replace(cautions=(*answer.cautions, *_middles(build)))


def _middles(build: Build) -> Iterator[Caution]:
    """What must be said of fields given as a range: the plain answer takes the middle."""
    used = build.used()
    for name in build.between:
        if name in used:
            middle = ALL_FIELDS[name].kind.out(build.values[name], build.system)
            yield note("range-given", _MIDDLE.format(label=label_of(name), name=name, middle=f"{middle:.6g}"))


_MIDDLE = (
    "The {label} ({name}) is given as a range: the answer takes its middle, {middle}; bands=1 tells what the range "
    "makes."
)


def answer_before(question: Question, build: Build) -> Answer | Caution | None:
    """The answer about the vehicle before the change.

    None where no field that the question uses has an original, it measures, or its results compare with that
    vehicle already; a caution where that vehicle cannot be answered.
    """
    if question.measures or not (_compares(question) and build.has_original(question.fields)):
        return None
    original = build.original()
    try:
        answer = ask(question, original)
    except InvalidBuild as error:
        return _unanswered(error.faults[0].field, error.faults[0].detail, build)
    except DomainError as error:
        return _unanswered(error.argument, f"must be {error.accepted}", build)
    build.take_original_account(original)
    return answer


def _compares(question: Question) -> bool:
    """Whether a result of the question is one that the vehicle before the change has as well."""
    return not all(RESULTS[name].against_original for name in question.results)


def _unanswered(field: str, detail: str, build: Build) -> Caution:
    name = ORIGINAL + field if build.given(ORIGINAL + field) else field
    return note("no-answer-before", f"The vehicle before the change is not compared: {name} {detail}.")


def needed(name: str, question: Question, system: System) -> FieldError:
    """The fault of a field without which there is no answer."""
    field = FIELDS[name]
    stand_in = f" (or {field.instead})" if field.instead else ""
    return FieldError(name, f"is needed for {question.name}{stand_in}: {field.kind.accepted(system)}")

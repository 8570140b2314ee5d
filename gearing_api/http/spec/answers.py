"""Describe what comes back: answers, tables, columns and problems."""

from typing import Any, get_args

from gearing_api import tables
from gearing_api.answer import LEVELS, Basis, Question, Verdict, Why
from gearing_api.formats import BRIEF
from gearing_api.http import from_text
from gearing_api.http.problems import PROBLEM_TYPES
from gearing_api.http.spec.builds import (
    NULL,
    TEXT,
    Schema,
    by_name,
    class_name,
    list_of,
    members,
    option_name,
    ref,
    result_names,
)
from gearing_api.questions import QUESTIONS
from gearing_api.questions.build_sheet import PARTS
from gearing_api.units import SYSTEMS
from gearing_api.vocabulary import FIELDS, RESULTS

_ON_THE_SHEET = [part.name for part in PARTS]
_WHOLE: Schema = {"type": "integer"}
_NUMBER_OR_NULL: Schema = {"type": ["number", "null"]}
_CELL: Schema = {"type": ["number", "string", "boolean", "null"]}


def answer_name(question: Question) -> str:
    """Return the name of the schema of a question's answer."""
    return class_name(question.name) + "Answer"


def _result_name(question: Question) -> str:
    return class_name(question.name) + "Result"


def answer_schemas() -> dict[str, Schema]:
    """Return the schemas of all that comes back, by name."""
    made: dict[str, Schema] = {
        "Problem": _problem(),
        "FieldError": _field_error(),
        "RowError": _row_error(),
        "Level": _words(LEVELS, "How grave a caution is, the gravest first"),
        "Verdict": _words(get_args(Verdict), "clear: nothing found; unknown: the main result is absent"),
        "CautionCode": _words(tables.table("cautions").column("code"), "The table `cautions` has meanings"),
        "Caution": members(level=ref("Level"), code=ref("CautionCode"), text=TEXT),
        "CautionOfMany": members(level=ref("Level"), code=ref("CautionCode"), text=TEXT, count=_WHOLE),
        "Absent": _absent(),
        "AbsentOfMany": members(
            result=ref("ResultName"), why=ref("Why"), fields=list_of(ref("FieldName")), count=_WHOLE
        ),
        "Range": list_of(_NUMBER_OR_NULL, minItems=2, maxItems=2) | {"description": "Its two ends"},
        "Stretch": list_of({"type": "number"}, minItems=2, maxItems=2)
        | {"description": "Lowest and highest axle ratio of a stretch"},
        "Window": members(
            target=TEXT,
            unit=TEXT,
            least=_NUMBER_OR_NULL,
            most=_NUMBER_OR_NULL,
            judged={"type": "boolean", "description": "false: no candidate differs from another in it"},
            met=list_of(ref("Stretch")),
            sure=list_of(ref("Stretch"))
            | {"description": "With bands=1, where 19 in 20 builds like it meet it"},
            possible=list_of(ref("Stretch")) | {"description": "With bands=1, where 1 in 20 does"},
        )
        | {"required": ["target", "unit", "least", "most", "judged", "met"]},
        "Windows": members(
            searched=ref("Stretch"),
            targets=list_of(ref("Window")),
            all_met=list_of(ref("Stretch")) | {"description": "Where every target judged is met"},
        )
        | {
            "description": "Where targets are met between the two ends searched; a stretch that reaches one of "
            "these may go on beyond it"
        },
        "Given": by_name(ref("FieldValue")) | {"description": "Every field used, as received"},
        "Assumed": by_name(ref("FieldValue")) | {"description": "Every default that was filled in"},
        "TextByName": by_name(TEXT),
        "Why": _words(get_args(Why), "Why there is no value"),
        "ProblemSlug": _words(_slugs(), "The type of problem"),
        "UnitsByName": by_name(TEXT) | {"description": "Units in the system of the answer, empty for none"},
        "Absences": by_name(ref("Absent")) | {"description": "Why each null is one"},
        "Changes": by_name({"type": "number"}) | {"description": "Each result less that of the original"},
        "Ranges": by_name(ref("Range")) | {"description": "Between which ends each result lies"},
        "Driver": _driver(),
        "Tornado": _table(result=ref("ResultName"), unit=TEXT, plain=_NUMBER_OR_NULL),
        "Drivers": by_name(list_of(ref("Driver"))) | {"description": "What explains the range, most first"},
        "Shares": by_name(by_name({"type": "number"}))
        | {"description": "Of words, whole numbers and absences: the share of the draws that each has"},
        "RowByName": by_name(_CELL) | {"description": "A row, with rows=objects"},
        "Basis": _words(get_args(Basis), "How good the evidence is"),
        "Source": members(what=TEXT, kind=ref("Basis"), source=TEXT),
        "ResultName": result_names(),
        "FieldName": _words(FIELDS, "The name of a field"),
        "QuestionName": _words(QUESTIONS, "The name of a question"),
        "Table": _table(),
        "ServedTable": _table(table=TEXT, about=TEXT),
        "ManyAnswer": _many(),
        "FromTextAnswer": _sentence(),
        "Index": members(
            service=TEXT, version=TEXT, links=ref("TextByName"), questions=list_of(ref("Anything"))
        ),
        "Problems": members(problems=list_of(_problem_kind())),
        "Probe": members(status=TEXT),
        "Anything": by_name({}),
    }
    for question in QUESTIONS.values():
        made[_result_name(question)] = _results(question)
        made[answer_name(question)] = _answer(question)
    return made


def _results(question: Question) -> Schema:
    """Return the schema of the results of a question; those of the sheet are those of its parts."""
    if question.name == "build-sheet":
        return {"allOf": [ref(_result_name(part)) for part in PARTS]}
    return {"type": "object", "properties": {name: _result(name, question) for name in question.results}}


def _words(words: Any, about: str) -> Schema:
    return {"type": "string", "enum": list(words), "description": about}


def _result(name: str, question: Question) -> Schema:
    result = RESULTS[name]
    plain = "string" if result.quantity is None else "number"
    units = {system: result.unit(system) for system in SYSTEMS}
    labels = "; ".join(dict.fromkeys(unit for unit in units.values() if unit))
    return {
        "type": plain if name in question.always else [plain, "null"],
        "description": result.meaning + (f" [{labels}]" if labels else ""),
        "x-unit": units,
    }


def _answer(question: Question) -> Schema:
    properties: Schema = {
        "question": {"type": "string", "const": question.name},
        "version": TEXT,
        "units": ref(option_name("units")),
        "verdict": ref("Verdict"),
        "summary": {"type": "string", "description": "The answer in one or two sentences"},
        "given": ref("Given"),
        "assumed": ref("Assumed"),
        "result": ref(_result_name(question)),
        "result_units": ref("UnitsByName"),
        "absent": ref("Absences"),
        "original": ref(_result_name(question)),
        "change": ref("Changes"),
        "ranges": ref("Ranges"),
        "drivers": ref("Drivers"),
        "shares": ref("Shares"),
        "tornado": ref("Tornado"),
        "cautions": list_of(ref("Caution")),
        "sources": list_of(ref("Source")),
    }
    optional = {*BRIEF, "original", "change", "ranges", "drivers", "shares", "tornado"}
    required = [name for name in properties if name not in optional]
    notes = [question.asks]
    for name, columns in (("table", question.table), ("what_if", question.what_if)):
        if columns:
            properties[name] = ref("Table")
            notes.append(f"Columns that {name} always has: {', '.join(columns)}.")
    if question.name == "regear":
        properties["windows"] = ref("Windows") | {"description": "With windows=1"}
    if question.name == "regear":
        properties["targets"] = ref("Table")
        notes.append(
            "targets, with bands=1: the share of the draws in which each axle ratio meets each target."
        )
    if question.name == "build-sheet":
        properties |= _sheet()
    if question.measures:
        properties |= _findings()
    about = " ".join(notes)
    return {"type": "object", "description": about, "required": required, "properties": properties}


def _sheet() -> Schema:
    """Return the members that a build sheet has besides: each question's own answer, and what others lack."""
    parts = {name: ref(answer_name(part)) for name, part in QUESTIONS.items() if name in _ON_THE_SHEET}
    lacking = {name: list_of(ref("FieldName")) for name in parts}
    return {
        "head": list_of(ref("ResultName")) | {"description": "The figures to look at first"},
        "parts": {"type": "object", "description": "The answer to each question", "properties": parts},
        "missing": {"type": "object", "description": "What other questions lack", "properties": lacking},
    }


def _findings() -> dict[str, Schema]:
    """Return the members of an answer that measures: fields to add to the build, figures, and what to do next."""
    number: Schema = {"type": "number"}
    ends = {"value": number, "low": number, "high": number}
    understood = members(
        field=ref("FieldName"), what=TEXT, readings=list_of(ref("FieldName")), unit=TEXT, **ends
    )
    understood["properties"] |= {"expected": members(**ends), "apart": number}
    return {
        "build": ref("Fields"),
        "understood": list_of(understood),
        "unused": list_of(members(field=ref("FieldName"), needs=list_of(ref("FieldName")))),
        "ask": {"type": ["string", "null"], "description": "What to measure next"},
    }


def _table(**properties: Schema) -> Schema:
    return members(
        **properties,
        columns=list_of(TEXT),
        units=list_of(TEXT),
        rows=list_of({"anyOf": [list_of(_CELL), ref("RowByName")]}),
    )


def _driver() -> Schema:
    schema = members(field=ref("FieldName"), share={"type": "number"})
    schema["properties"]["narrower"] = TEXT | {"description": "What would make the range narrower"}
    return schema


def _absent() -> Schema:
    schema = members(why=ref("Why"))
    schema["properties"]["fields"] = list_of(ref("FieldName")) | {"description": "What would make it known"}
    return schema


def _slugs() -> list[str]:
    return [kind.slug for kind in PROBLEM_TYPES.values()]


def _problem() -> Schema:
    kind = {"type": "string", "format": "uri-reference", "pattern": f"/problems/({'|'.join(_slugs())})$"}
    schema = members(
        type=kind | {"description": "The address of a page about this type of problem"},
        title=_words((kind.title for kind in PROBLEM_TYPES.values()), "One a type"),
        status=_WHOLE,
        detail=TEXT,
        errors=list_of(ref("FieldError")),
    )
    schema["properties"]["errors_not_listed"] = _WHOLE
    return schema


def _problem_kind() -> Schema:
    return members(type=TEXT, slug=ref("ProblemSlug"), status=_WHOLE, title=TEXT, advice=TEXT)


def _field_error() -> Schema:
    error = members(
        location=TEXT | {"description": "The part of the request"},
        pointer=TEXT | {"description": "JSON pointer (RFC 6901) to the value"},
        detail=TEXT,
    )
    error["properties"]["got"] = {"type": ["string", "number", "boolean"]}
    error["properties"]["use"] = {
        "type": ["string", "number"],
        "description": "The value as it is likeliest meant, where there is one",
    }
    return error


def _row_error() -> Schema:
    error = _field_error()
    index = _WHOLE | {"minimum": 0, "description": "The build, the first is 0"}
    return {
        "type": "object",
        "required": ["index", *error["required"]],
        "properties": {"index": index, **error["properties"]},
    }


def _many() -> Schema:
    schema = members(
        question=TEXT,
        units=ref(option_name("units")),
        count={"type": "integer", "description": "Builds, or rows of a comparison"},
        column_units=ref("UnitsByName"),
        errors=list_of(ref("RowError")),
        error_count=_WHOLE,
        cautions=list_of(ref("CautionOfMany")),
        absent=list_of(ref("AbsentOfMany")),
        columns=by_name(list_of(_CELL)),
    )
    schema["properties"] |= {"sources": list_of(ref("Source")), "errors_not_listed": _WHOLE}
    return schema


def _sentence() -> Schema:
    """Return the schema of the answer to a sentence, in the shape of all answers."""
    schema = members(
        question={"type": "string", "const": from_text.NAME},
        units=ref(option_name("units")),
        assumed=ref("TextByName"),
        result=_sentence_result(),
        result_units=ref("UnitsByName"),
        cautions=list_of(ref("Caution")),
    )
    schema["properties"] |= {
        "given": ref("TextByName"),
        "sources": list_of(ref("Source")),
    }
    return schema


def _sentence_result() -> Schema:
    span = list_of(_WHOLE, minItems=2, maxItems=2)
    piece: dict[str, Schema] = {
        "text": TEXT | {"description": "The piece of the sentence"},
        "span": span | {"description": "Where it begins and ends, in characters (code points)"},
    }
    understood = members(field=ref("FieldName"), what=TEXT, value=ref("FieldValue"), **piece)
    ask = "What to ask back, where the likeliest question lacks something"
    follow_up = members(
        about=TEXT | {"description": "What is asked for, such as axle_ratio or first_gear"},
        kind={"enum": ["open", "confirm", "choose", "name"]},
        offers=list_of(members(**piece)) | {"description": "The numbers that the question names"},
    )
    schema = members(
        build=ref("Fields"),
        understood=list_of(understood) | {"description": "Each value with the piece that says it"},
        unused=list_of(members(**piece, reason=TEXT)) | {"description": "Numbers left over, and why"},
        ask={"type": ["string", "null"], "description": ask},
        follow_up={"anyOf": [follow_up, NULL], "description": "The same for a program"},
        fits=list_of(TEXT) | {"description": "The questions this build answers, the likeliest first"},
    )
    asks = {"anyOf": [ref("QuestionName"), NULL], "description": "The question that the writer asks"}
    schema["properties"]["asks"] = asks
    return schema

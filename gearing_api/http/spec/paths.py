"""Describe the addresses: each question once with JSON, and once for all in the other formats."""

from typing import Any

from gearing_api.answer import Question
from gearing_api.formats import BRIEF, CHARTS, FORMATS
from gearing_api.http import bulk, from_text, index, served_tables, shortlist
from gearing_api.http.pages import home
from gearing_api.http.requests import CSV, FORM, JSON, OPTIONS
from gearing_api.http.spec.answers import answer_name
from gearing_api.http.spec.builds import (
    TEXT,
    Schema,
    field_parameter,
    members,
    option_name,
    ref,
    request_name,
    required_in_query,
)
from gearing_api.http.spec.responses import CACHED, responses
from gearing_api.http.spec.shortlists import shortlist_path
from gearing_api.questions import QUESTIONS
from gearing_api.sentences import LONGEST
from gearing_api.vehicle.demo_truck import truck
from gearing_api.vocabulary import FIELDS

TAGS = {
    "Questions": "Each question about one build, answered in JSON.",
    "Other formats": "The same answers as CSV, text, Markdown or a chart.",
    "Many builds": "One question about many builds, or every combination of varied fields.",
    "Tables": "What the answers rest on, and all fields, results, units and cautions.",
    "Service": "The index, problems, and whether the service is well.",
}
_PICKED = 3


def paths() -> dict[str, Schema]:
    """Return every address with its operations."""
    found: dict[str, Schema] = {}
    for question in QUESTIONS.values():
        found[f"/v1/{question.name}"] = _tagged("Questions", get=_get(question), post=_post(question))
    found[from_text.ADDRESS] = _tagged("Questions", get=_get_sentence(), post=_post_sentence())
    found["/v1/{question}.{format}"] = _tagged("Other formats", get=_get_formatted(), post=_post_formatted())
    found["/v1/{question}.csv"] = _tagged("Many builds", post=_rows())
    suffixed = _get_sentence(suffixed=True), _post_sentence(suffixed=True)
    found[from_text.ADDRESS + ".{format}"] = _tagged("Other formats", get=suffixed[0], post=suffixed[1])
    found["/v1/{question}/batch"] = _tagged("Many builds", post=_batch())
    found["/v1/comparison"] = _tagged("Many builds", post=_comparison())
    found["/v1/comparison.{format}"] = _tagged("Many builds", post=_comparison(suffixed=True))
    found[shortlist.ADDRESS] = _tagged("Many builds", post=shortlist_path())
    listed = shortlist_path(suffixed=True)
    found[shortlist.ADDRESS + ".{format}"] = _tagged("Other formats", post=listed)
    return found | _table_paths() | _service_paths()


def _tagged(tag: str, **operations: Schema) -> Schema:
    return {method: {"tags": [tag], **operation} for method, operation in operations.items()}


def shared_parameters() -> dict[str, Schema]:
    """Return the parts of addresses, by name."""
    return {
        "question_in_path": _in_path("question", ref("QuestionName")),
        "table_in_path": _in_path("name", ref("TableName")),
        "format_in_path": _in_path("format", ref("AnswerFormat")),
        "table_format": _in_path("format", ref("TableFormat")),
        "sentence_format": _in_path("format", ref("SentenceFormat")),
        "shortlist_format": _in_path("format", ref("ShortlistFormat")),
        "comparison_format": _in_path("format", ref("ComparisonFormat")),
        "of_question": {
            "name": "question",
            "in": "query",
            "description": "Only the rows of this question, in tables that have questions",
            "schema": ref("QuestionName"),
        },
    }


def _in_path(name: str, schema: Schema) -> Schema:
    return {"name": name, "in": "path", "required": True, "description": f"The {name}", "schema": schema}


def path_schemas() -> dict[str, Schema]:
    """Return the schemas of parts of addresses, by name."""
    words: dict[str, list[str]] = {
        "TableName": list(served_tables.NAMES),
        "AnswerFormat": [*FORMATS, *CHARTS],
        "TableFormat": ["json", "csv"],
        "SentenceFormat": list(from_text.FORMS),
        "ShortlistFormat": list(shortlist.FORMS),
        "ComparisonFormat": list(bulk.COMPARISON_FORMATS),
    }
    enums: dict[str, Schema] = {name: {"type": "string", "enum": choices} for name, choices in words.items()}
    return enums | {"Sentence": _sentence()}


def _named(*names: str) -> list[Schema]:
    return [{"$ref": f"#/components/parameters/{name}"} for name in names]


def _json(schema: str, example: Any = None) -> Schema:
    return {JSON: {"schema": ref(schema)} | ({"example": example} if example is not None else {})}


def _body(content: Schema) -> Schema:
    return {"required": True, "content": content}


def _get(question: Question) -> Schema:
    needed = required_in_query(question)
    return {
        "operationId": question.name,
        "summary": question.asks,
        "description": f"Try `/v1/{question.name}?{home.demo_query(question)}`",
        "parameters": [
            *(
                field_parameter(FIELDS[name]) | {"required": True} if name in needed else _named(name)[0]
                for name in question.fields
            ),
            *_named(*OPTIONS),
        ],
        "responses": responses("get", _answered(question)),
    }


def _post(question: Question) -> Schema:
    return {
        "operationId": f"{question.name}-post",
        "summary": question.asks,
        "description": "Fields and options in a body.",
        "requestBody": _body(_json(request_name(question), example_request(question))),
        "responses": responses("post", _answered(question)),
    }


def example_request(question: Question) -> Schema:
    """Return a request with a small answer: some results, without tables and sources."""
    return dict(question.example) | {"pick": list(question.results[:_PICKED]), "detail": "brief"}


def _answered(question: Question) -> Schema:
    return {"$ref": f"#/components/responses/{answer_name(question)}"}


def answers() -> dict[str, Schema]:
    """Return the response of each question, with a small example."""
    made = {}
    for question in QUESTIONS.values():
        answer = home.asked(question, dict(question.example), question.results[:_PICKED])
        brief = {name: member for name, member in answer.items() if name not in BRIEF}
        brief["cautions"] = answer["cautions"][:_PICKED]
        content = _json(answer_name(question), brief)
        made[answer_name(question)] = {"description": "The answer.", "headers": CACHED, "content": content}
    return made


def _get_formatted() -> Schema:
    every = dict.fromkeys(name for question in QUESTIONS.values() for name in question.fields)
    return {
        "operationId": "answer-in-format",
        "summary": "The answer to a question in the format named",
        "description": "Only questions with a curve have charts; `/v1` lists the formats of each.",
        "parameters": _named("question_in_path", "format_in_path", *every, *OPTIONS),
        "responses": responses("get", _formatted(), suffixed=True, found=False),
    }


def _post_formatted() -> Schema:
    return {
        "operationId": "answer-in-format-post",
        "summary": "The answer to a question in the format named",
        "description": "Fields and options in a body. A form is read at the addresses without a suffix too.",
        "parameters": _named("question_in_path", "format_in_path"),
        "requestBody": _body(_json("Build", {"tyre": "265/70R17"}) | {FORM: {"schema": ref("Form")}}),
        "responses": responses("post", _formatted(), suffixed=True, found=False),
    }


def _formatted() -> Schema:
    forms = FORMATS | CHARTS
    content: Schema = {
        form.media_type.partition(";")[0]: {"schema": TEXT}
        for form in forms.values()
        if form.suffix not in ("json", "png")
    }
    content["image/png"] = {"schema": TEXT | {"format": "binary"}}
    content[JSON] = {"schema": {"anyOf": [ref(answer_name(question)) for question in QUESTIONS.values()]}}
    return {"description": "The answer.", "content": content}


def _rows() -> Schema:
    about = "One build a row under headings that are field names, such as tyre,axle_ratio"
    rows = TEXT | {"format": "build-rows", "minLength": 1, "description": about}
    return {
        "operationId": "rows",
        "summary": "A question about each row of a sheet",
        "description": "The rows come back as they are, each with its results, cautions and error.",
        "parameters": _named("question_in_path", "units", "pick", "decimal", "bom"),
        "requestBody": _body({CSV: {"schema": rows, "example": "tyre\r\n265/70R17\r\n"}}),
        "responses": responses("post", _text_of(CSV, "The rows."), suffixed=True, found=False),
    }


def _text_of(media_type: str, about: str) -> Schema:
    return {"description": about, "content": {media_type: {"schema": TEXT}}}


def _batch() -> Schema:
    example = {"columns": {"tyre": ["265/70R17", "33x12.50R17LT"]}, "pick": "diameter"}
    return {
        "operationId": "batch",
        "summary": "A question about many builds in columns",
        "description": "A row that is refused has nulls and an error with its index; the others are answered.",
        "parameters": _named("question_in_path"),
        "requestBody": _body(_json("Columns", example)),
        "responses": responses(
            "post",
            {"description": "Columns in the order of the builds.", "content": _json("ManyAnswer")},
            suffixed=True,
            found=False,
        ),
    }


def _comparison(*, suffixed: bool = False) -> Schema:
    example = {
        "build": truck("tyre", "gear_ratios"),
        "vary": {"axle_ratio": [4.1, 4.56]},
        "report": ["crawl_ratio"],
    }
    content = _json("ManyAnswer")
    if suffixed:
        content |= {
            kind: {"schema": TEXT} for form, kind in bulk.COMPARISON_FORMATS.items() if form != "json"
        }
    return {
        "operationId": "comparison" + ("-in-format" if suffixed else ""),
        "summary": "Every combination of the varied fields, the first slowest",
        "parameters": _named(
            *(["comparison_format"] if suffixed else []), "decimal", "bom", "detail", "errors"
        ),
        "requestBody": _body(_json("Plan", example)),
        "responses": responses("post", {"description": "The table.", "content": content}, suffixed=suffixed),
    }


_SENTENCE_OPTIONS = ("units", "decimal", "errors")
_SENTENCE: Schema = {"type": "string", "minLength": 1, "maxLength": LONGEST, "pattern": r"\S"}


def _get_sentence(*, suffixed: bool = False) -> Schema:
    about = f"One sentence of a vehicle forum, at most {LONGEST} characters"
    q = {"name": "q", "in": "query", "required": True, "description": about, "schema": _SENTENCE}
    return {
        "operationId": from_text.NAME + ("-in-format" if suffixed else ""),
        "summary": from_text.ASKS,
        "parameters": [
            *_named(*(["sentence_format"] if suffixed else [])),
            q | {"example": from_text.EXAMPLE},
            *_named(*_SENTENCE_OPTIONS),
        ],
        "responses": responses("get", _understood(suffixed), suffixed=suffixed),
    }


def _post_sentence(*, suffixed: bool = False) -> Schema:
    return {
        "operationId": from_text.NAME + "-post" + ("-in-format" if suffixed else ""),
        "summary": from_text.ASKS,
        "parameters": _named(*(["sentence_format"] if suffixed else [])),
        "requestBody": _body(_json("Sentence", {"q": from_text.EXAMPLE})),
        "responses": responses("post", _understood(suffixed), suffixed=suffixed),
    }


def _sentence() -> Schema:
    body = members(q=_SENTENCE) | {"additionalProperties": False}
    body["properties"] |= {name: ref(option_name(name)) for name in _SENTENCE_OPTIONS}
    return body


def _understood(suffixed: bool) -> Schema:
    text = {"text/plain": {"schema": TEXT}} if suffixed else {}
    return {"description": "What was understood.", "content": _json("FromTextAnswer") | text}


def _table_paths() -> dict[str, Schema]:
    found = {}
    for suffix in ("", ".{format}"):
        parameters = ["table_format"] if suffix else []
        content = _json("ServedTable") | ({CSV: {"schema": TEXT}} if suffix else {})
        table = {"description": "The table.", "content": content}
        named = "-in-format" if suffix else ""
        directory: Schema = {
            "operationId": f"tables{named}",
            "summary": "The tables the answers rest on",
            "parameters": _named(*parameters, "rows"),
            "responses": responses("get", table, suffixed=bool(suffix)),
        }
        one: Schema = {
            "operationId": f"table{named}",
            "summary": "A table: of what the answers rest on, or of all fields, results, units or cautions",
            "parameters": _named("table_in_path", *parameters, "of_question", "rows"),
            "responses": responses("get", table, suffixed=bool(suffix), found=False),
        }
        found[f"/v1/tables{suffix}"] = _tagged("Tables", get=directory)
        found[f"/v1/tables/{{name}}{suffix}"] = _tagged("Tables", get=one)
    return found


_SERVICE = (
    (index.ADDRESS, "index", "Every question with its needs, and where everything else is", "Index"),
    ("/healthz", "healthz", "Whether the process is up", "Probe"),
    ("/readyz", "readyz", "Whether a known answer comes out right", "Probe"),
    ("/openapi.json", "openapi", "This document", "Anything"),
    ("/problems", "problems", "The types of problem that an error can be", "Problems"),
    ("/", "home", "The demo build, answered", "Anything"),
)


def _service_paths() -> dict[str, Schema]:
    found = {}
    for path, name, summary, schema in _SERVICE:
        ok = {"description": summary, "content": _json(schema)}
        operation = {"operationId": name, "summary": summary, "responses": responses("get", ok)}
        found[path] = _tagged("Service", get=operation)
    return found

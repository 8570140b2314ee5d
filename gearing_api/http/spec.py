"""Make the spec document (OpenAPI 3.1) from the vocabulary and the questions."""

import json
from collections.abc import Callable
from functools import cache
from typing import Any, get_args

from apispec import APISpec

from gearing_api import __version__
from gearing_api.answer import Basis, Question
from gearing_api.formats import CHARTS, FORMATS, offered
from gearing_api.http import bulk, from_text, served_tables
from gearing_api.http.pages import home
from gearing_api.http.problems import MEDIA_TYPE
from gearing_api.http.requests import LONGEST_PICK, MOST_PICKS, OPTIONS
from gearing_api.questions import OWNERS, QUESTIONS
from gearing_api.sentences import LONGEST
from gearing_api.units import SYSTEMS
from gearing_api.vehicle.demo_truck import truck
from gearing_api.vocabulary import FIELDS, RESULTS, Field

Schema = dict[str, Any]

_ABOUT = """\
Questions about a build: a trail vehicle as it is planned, described by named fields. A question accepts
every field of a build and ignores those that it does not need, so one build can be sent to all of them.
Numbers without a unit are in the units of `units`; a number may be text with its own unit instead. `x-bounds`
has the bounds of fields with dimensions, `x-unit` their units. Answers may gain members within v1.
"""

_TEXT = {"type": "string"}
_PICKS = {"type": "array", "items": {"type": "string", "maxLength": 60}, "maxItems": MOST_PICKS}
_NULL = {"type": "null"}
_NUMBER_OR_NULL = {"type": ["number", "null"]}


@cache
def spec() -> Schema:
    """Return the whole document as plain data."""
    made = APISpec(
        title="Drivability of trail vehicles",
        version=__version__,
        openapi_version="3.1.0",
        info={"description": _ABOUT, "license": {"name": "MIT", "identifier": "MIT"}},
        servers=[{"url": "/"}],
    )
    _components(made)
    for question in QUESTIONS.values():
        made.path(f"/v1/{question.name}", operations={"get": _get(question), "post": _post(question)})
        made.path(
            f"/v1/{question.name}.{{format}}",
            operations={"get": _get(question, suffixed=True), "post": _post(question, suffixed=True)},
        )
    _from_text(made)
    _many(made)
    _other_paths(made)
    whole: Schema = made.to_dict()
    for path, operations in whole["paths"].items():
        for operation in operations.values():
            operation["tags"] = [_tag(path)]
    return whole


def _tag(path: str) -> str:
    """Return the heading of an address in the reference."""
    if path.startswith("/v1/tables"):
        return "Tables"
    if path.endswith("/batch") or path.startswith("/v1/comparison"):
        return "Many builds"
    if path.endswith(".{format}"):
        return "The same in another format"
    return "Questions" if path.startswith("/v1/") else "Service"


def _components(made: APISpec) -> None:
    for field in FIELDS.values():
        made.components.parameter(field.name, "query", _field_parameter(field))
    for name, option in OPTIONS.items():
        made.components.parameter(
            name,
            "query",
            {
                "name": name,
                "description": option.about,
                "schema": _option_schema(name),
            },
        )
    for name, formats in (("format", FORMATS), ("format_or_chart", FORMATS | CHARTS)):
        made.components.parameter(
            name,
            "path",
            {
                "name": "format",
                "required": True,
                "description": "Format of the answer, instead of an Accept header",
                "schema": {"type": "string", "enum": list(formats)},
            },
        )
    made.components.schema(
        "Build",
        {
            "type": "object",
            "description": "One build, with the options of the answer.",
            "additionalProperties": False,
            "properties": {name: _field_schema(field) for name, field in FIELDS.items()}
            | {name: _option_schema(name) for name in OPTIONS}
            | {"pick": {"anyOf": [_option_schema("pick"), _PICKS]}},
        },
    )
    made.components.schema("Problem", _problem_schema())
    made.components.schema("Table", _table_schema())
    for question in QUESTIONS.values():
        made.components.schema(_answer_name(question), _answer_schema(question))
        made.components.response(_answer_name(question), _answer_response(question))
    made.components.response(
        "Problem",
        {
            "description": "The request was refused; RFC 9457.",
            "content": {MEDIA_TYPE: {"schema": _ref("Problem")}},
        },
    )


def _ref(name: str) -> Schema:
    return {"$ref": f"#/components/schemas/{name}"}


def _field_parameter(field: Field) -> Schema:
    return {
        "name": field.name,
        "description": _meaning(field),
        "schema": field.kind.text_schema() | _default(field),
    }


def _field_schema(field: Field) -> Schema:
    return {"description": _meaning(field)} | field.kind.schema() | _default(field)


def _meaning(field: Field) -> str:
    instead = f"; {field.instead} where not given" if field.instead else ""
    return f"{field.meaning}{instead}. Accepted: {field.kind.accepted('us')}."


def _default(field: Field) -> Schema:
    return {"x-default": field.default} if field.default is not None else {}


def _option_schema(name: str) -> Schema:
    option = OPTIONS[name]
    accepted = {"enum": list(option.choices)} if option.choices else {"maxLength": LONGEST_PICK}
    return {"type": "string", "default": option.default} | accepted


def _parameters(question: Question) -> list[Any]:
    return [
        *(_required(name) if _is_required(name) else name for name in question.fields),
        *OPTIONS,
    ]


def _is_required(question_field: str) -> bool:
    return question_field in ("tyre", "gear_ratios", "vehicle_mass")


def _required(name: str) -> Schema:
    return {"in": "query", "required": True, **_field_parameter(FIELDS[name])}


def _get(question: Question, *, suffixed: bool = False) -> Schema:
    needed = set(question.needs)
    parameters = [
        _required(name) if name in needed and _is_required(name) else name for name in question.fields
    ]
    return {
        "operationId": question.name + ("-as" if suffixed else ""),
        "summary": question.asks,
        "description": f"Try `/v1/{question.name}?{home.demo_query(question)}`",
        "parameters": [*_format(question, suffixed), *parameters, *OPTIONS],
        "responses": {"200": _answer_name(question), "default": "Problem"},
    }


def _post(question: Question, *, suffixed: bool = False) -> Schema:
    required = [name for name in question.needs if _is_required(name)]
    body: Schema = {"allOf": [_ref("Build")]} | ({"required": required} if required else {})
    about = "One build a row under headings that are field names, such as tyre,axle_ratio"
    rows = {"schema": {"type": "string", "format": "build-rows", "minLength": 1, "description": about}}
    return {
        "operationId": question.name + "-post" + ("-as" if suffixed else ""),
        "summary": question.asks,
        "parameters": _format(question, suffixed),
        "requestBody": {
            "required": True,
            "content": {"application/json": {"schema": body, "example": dict(question.example)}}
            | ({} if suffixed else {"text/csv": rows}),
        },
        "responses": {"200": _answer_name(question), "default": "Problem"},
    }


def _format(question: Question, suffixed: bool) -> list[str]:
    """Return the parameter in the path, by its name among the components."""
    return ["format_or_chart" if question.draws else "format"] if suffixed else []


def _answer_response(question: Question) -> Schema:
    content: Schema = {
        form.media_type.partition(";")[0]: {} if form.suffix == "png" else {"schema": _TEXT}
        for form in offered(question).values()
        if form.suffix != "json"
    }
    content["application/json"] = {
        "schema": _ref(_answer_name(question)),
        "example": home.asked(question, dict(question.example)),
    }
    return {"description": "The answer.", "content": content}


def _answer_name(question: Question) -> str:
    return question.name.title().replace("-", "") + "Answer"


def _answer_schema(question: Question) -> Schema:
    properties: Schema = {
        "question": {"type": "string", "const": question.name},
        "units": {"type": "string", "enum": list(SYSTEMS)},
        "given": {"type": "object", "description": "Every field used, as received."},
        "assumed": {"type": "object", "description": "Every default that was filled in."},
        "result": {"type": "object", "properties": {name: _result_schema(name) for name in question.results}},
        "result_units": {"type": "object", "additionalProperties": _TEXT},
        "cautions": {"type": "array", "items": _members(code=_TEXT, text=_TEXT)},
        "sources": _sources_schema(),
    }
    required = list(properties)
    for name, columns in (("table", question.table), ("what_if", question.what_if)):
        if columns:
            properties[name] = _table_schema() | {
                "description": "Columns that always come: " + ", ".join(columns)
            }
    return {"type": "object", "required": required, "properties": properties}


def _members(**properties: Schema) -> Schema:
    return {"type": "object", "required": list(properties), "properties": properties}


def _result_schema(name: str) -> Schema:
    result = RESULTS[name]
    kind = {"type": ["string", "null"]} if result.quantity is None else _NUMBER_OR_NULL
    return kind | {
        "description": result.meaning,
        "x-unit": {system: result.unit(system) for system in SYSTEMS},
    }


def _table_schema() -> Schema:
    cell = {"type": ["number", "string", "boolean", "null"]}
    return _members(
        columns={"type": "array", "items": _TEXT},
        units={"type": "array", "items": _TEXT},
        rows={"type": "array", "items": {"type": "array", "items": cell}},
    )


def _problem_schema() -> Schema:
    error = _members(location=_TEXT, pointer=_TEXT, detail=_TEXT)
    error["properties"]["got"] = {"type": ["string", "number", "boolean"]}
    error["properties"]["use"] = {
        "type": ["string", "number"],
        "description": "The value as it is likeliest meant, where there is one",
    }
    return _members(
        type={"type": "string", "description": "A path that answers with a page."},
        title=_TEXT,
        status={"type": "integer"},
        detail=_TEXT,
        errors={"type": "array", "items": error},
    )


def _many(made: APISpec) -> None:
    made.components.schema("Columns", _columns_schema())
    made.components.schema("Plan", _plan_schema())
    made.components.schema("ManyAnswer", _many_schema())
    columns = {"description": "Columns in the order of the builds.", "content": _json("ManyAnswer")}
    for question in QUESTIONS.values():
        example: Schema = {"columns": {name: [value] for name, value in question.example.items()}}
        operation: Schema = {
            "operationId": question.name + "-batch",
            "summary": f"Many builds at once: {question.asks}",
            "requestBody": {"required": True, "content": _json("Columns", example)},
            "responses": {"200": columns, "default": "Problem"},
        }
        made.path(f"/v1/{question.name}/batch", operations={"post": operation})
    example = {
        "build": truck("tyre", "gear_ratios"),
        "vary": {"axle_ratio": [4.1, 4.56]},
        "report": ["crawl_ratio"],
    }
    for suffix in ("", *bulk.COMPARISON_FORMATS):
        content = _json("ManyAnswer") if suffix in ("", "json") else {}
        content |= {
            kind: {"schema": _TEXT}
            for form, kind in bulk.COMPARISON_FORMATS.items()
            if form != "json" and suffix in ("", form)
        }
        operation = {
            "operationId": f"comparison-{suffix}".rstrip("-"),
            "summary": "Every combination of the varied fields, the first slowest",
            "parameters": ["decimal", "bom", "errors"],
            "requestBody": {"required": True, "content": _json("Plan", example)},
            "responses": {"200": {"description": "The table.", "content": content}, "default": "Problem"},
        }
        made.path("/v1/comparison" + (f".{suffix}" if suffix else ""), operations={"post": operation})


def _json(schema: str, example: Schema | None = None) -> Schema:
    content = {"schema": _ref(schema)} | ({"example": example} if example else {})
    return {"application/json": content}


def _columns_schema() -> Schema:
    about = "Each field as one value for all builds, or as a list with one value or null a build"
    columns = _each_field(lambda one: {"anyOf": [one, {"type": "array", "items": {"anyOf": [one, _NULL]}}]})
    return {
        "type": "object",
        "required": ["columns"],
        "additionalProperties": False,
        "properties": {"columns": columns | {"description": about}}
        | {name: _option_schema(name) for name in OPTIONS},
    }


def _each_field(schema: Callable[[Schema], Schema]) -> Schema:
    """Return the schema of an object of fields, each made from the schema of one value."""
    properties = {name: schema(_ref(f"Build/properties/{name}")) for name in FIELDS}
    return {"type": "object", "additionalProperties": False, "properties": properties}


def _plan_schema() -> Schema:
    varied = _each_field(lambda one: {"type": "array", "items": one, "minItems": 1}) | {"minProperties": 1}
    report = {"type": "array", "items": {"type": "string", "enum": list(OWNERS)}, "minItems": 1}
    return {
        "type": "object",
        "required": ["build", "vary", "report"],
        "additionalProperties": False,
        "properties": {
            "build": _each_field(lambda one: one) | {"description": "What is the same in all"},
            "vary": varied | {"description": "The values that each varied field takes"},
            "report": report | {"description": "The results wanted; their names say what is computed"},
            "units": _option_schema("units"),
            "sort": {
                "type": ["string", "null"],
                "description": "A column; with - before it the largest first",
            },
            "limit": {"type": ["integer", "null"], "minimum": 1, "description": "The most rows wanted"},
        },
    }


def _many_schema() -> Schema:
    error = _problem_schema()["properties"]["errors"]["items"]
    return _members(
        question=_TEXT,
        units={"type": "string", "enum": list(SYSTEMS)},
        count={"type": "integer", "description": "Builds, or rows of a comparison"},
        column_units={"type": "object", "additionalProperties": _TEXT},
        errors={"type": "array", "items": error},
        error_count={"type": "integer"},
        cautions={"type": "array", "items": _members(code=_TEXT, text=_TEXT, count={"type": "integer"})},
        sources={"type": "array", "items": _members(what=_TEXT, kind=_TEXT, source=_TEXT)},
        columns={"type": "object", "additionalProperties": {"type": "array"}},
    )


def _from_text(made: APISpec) -> None:
    made.components.schema("FromTextAnswer", _sentence_schema())
    q: Schema = {
        "description": f"One sentence of a vehicle forum, at most {LONGEST} characters",
        "schema": {"type": "string", "minLength": 1, "maxLength": LONGEST, "pattern": r"\S"},
        "example": from_text.EXAMPLE,
    }
    options = ["units", "decimal", "errors"]
    body = {
        "type": "object",
        "required": ["q"],
        "additionalProperties": False,
        "properties": {"q": q["schema"] | {"description": q["description"]}}
        | {name: _option_schema(name) for name in options},
    }
    answer = {
        "application/json": {"schema": _ref("FromTextAnswer")},
        "text/plain": {"schema": _TEXT},
    }
    format_of_sentence = {
        "name": "format",
        "in": "path",
        "required": True,
        "description": "Format of the answer, instead of an Accept header",
        "schema": {"type": "string", "enum": list(from_text.FORMS)},
    }
    for suffix, parameters in (("", []), (".{format}", [format_of_sentence])):
        name = from_text.NAME + ("-as" if suffix else "")
        about: Schema = {
            "summary": from_text.ASKS,
            "responses": {"200": {"description": "The answer.", "content": answer}, "default": "Problem"},
        }
        made.path(
            from_text.ADDRESS + suffix,
            operations={
                "get": about
                | {
                    "operationId": name,
                    "parameters": [*parameters, {"name": "q", "in": "query", "required": True} | q, *options],
                },
                "post": about
                | {
                    "operationId": from_text.NAME + "-post" + ("-as" if suffix else ""),
                    "parameters": parameters,
                    "requestBody": {
                        "required": True,
                        "content": {
                            "application/json": {"schema": body, "example": {"q": from_text.EXAMPLE}}
                        },
                    },
                },
            },
        )


def _sentence_schema() -> Schema:
    """Return the schema of the answer to a sentence, in the shape of all answers."""
    span: Schema = {"type": "array", "items": {"type": "integer"}, "minItems": 2, "maxItems": 2}
    place: Schema = {
        "text": _TEXT | {"description": "The piece of the sentence"},
        "span": span | {"description": "Where it begins and ends, in characters (code points)"},
    }
    field = {"type": "string", "enum": list(FIELDS)}
    results: Schema = {
        "build": {
            "type": "object",
            "description": "Fields ready for any question; they mean the same in either system of units",
        },
        "understood": {
            "type": "array",
            "items": _members(
                field=field, what=_TEXT, value={"type": ["number", "string", "array"]}, **place
            ),
            "description": "Each value with the piece of the sentence that says it",
        },
        "unused": {
            "type": "array",
            "items": _members(**place, reason=_TEXT),
            "description": "Numbers that were left over, and why",
        },
        "ask": {
            "type": ["string", "null"],
            "description": "What to ask back, where the likeliest question lacks something",
        },
        "fits": {
            "type": "array",
            "items": _TEXT,
            "description": "The questions this build answers, the likeliest first",
        },
    }
    return _members(
        question={"type": "string", "const": from_text.NAME},
        units={"type": "string", "enum": list(SYSTEMS)},
        given={"type": "object", "description": "The sentence, as received."},
        assumed={
            "type": "object",
            "description": "What was taken by convention, in words, by field.",
            "additionalProperties": _TEXT,
        },
        result=_members(**results),
        result_units={"type": "object", "additionalProperties": _TEXT},
        cautions={"type": "array", "items": _members(code=_TEXT, text=_TEXT)},
        sources=_sources_schema(),
    )


def _sources_schema() -> Schema:
    kind = {"type": "string", "enum": list(get_args(Basis))}
    return {"type": "array", "items": _members(what=_TEXT, kind=kind, source=_TEXT)}


def _other_paths(made: APISpec) -> None:
    table = {
        "200": {
            "description": "The table.",
            "content": {"application/json": {"schema": _ref("Table")}, "text/csv": {"schema": _TEXT}},
        },
        "default": "Problem",
    }
    for name in served_tables.NAMES:
        about = served_tables.served(name)["about"]
        made.path(
            f"/v1/tables/{name}",
            operations={"get": {"operationId": f"table-{name}", "summary": about, "responses": table}},
        )
    form = {
        "in": "path",
        "required": True,
        "name": "format",
        "schema": {"type": "string", "enum": ["json", "csv"]},
    }
    table_name = form | {"name": "name", "schema": {"type": "string", "enum": list(served_tables.NAMES)}}
    for path, operation, parameters in (
        ("/v1/tables.{format}", "tables-as", [form]),
        ("/v1/tables/{name}.{format}", "table-as", [table_name, form]),
    ):
        about = {
            "operationId": operation,
            "summary": "The same in the format named",
            "parameters": parameters,
        }
        made.path(path, operations={"get": about | {"responses": table}})
    made.path(
        "/v1/tables",
        operations={
            "get": {"operationId": "tables", "summary": "The tables the answers rest on", "responses": table}
        },
    )
    for path, summary in (
        ("/healthz", "Whether the process is up"),
        ("/readyz", "Whether a known answer comes out right"),
        ("/openapi.json", "This document"),
        ("/problems", "The types of problem that an error can be"),
        ("/", "The demo build, answered"),
    ):
        ok = {"description": summary, "content": {"application/json": {"schema": {"type": "object"}}}}
        made.path(
            path,
            operations={
                "get": {
                    "operationId": path.strip("/").removesuffix(".json") or "home",
                    "summary": summary,
                    "responses": {"200": ok, "default": "Problem"},
                }
            },
        )


def spec_text() -> str:
    """Return the document as the project keeps it: indented, in the order it was made."""
    return json.dumps(spec(), indent=1, ensure_ascii=False)

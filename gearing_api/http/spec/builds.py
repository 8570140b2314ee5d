"""Describe what is sent: every field of a build once, the options, and the bodies of requests."""

import math
from collections.abc import Iterator
from functools import cache
from typing import Any

from gearing_api.answer import Question
from gearing_api.batch.comparison_plans import MEETS, MOST_WANTED
from gearing_api.build import TEETH
from gearing_api.fields import (
    LONGEST_CURVE_TEXT,
    Choice,
    Coefficients,
    Count,
    Curve,
    Loads,
    Number,
    Ratios,
    Series,
)
from gearing_api.http.requests import LONGEST_PICK, MOST_PICKS, OPTIONS
from gearing_api.questions import OWNERS, QUESTIONS
from gearing_api.units import LONGEST_TEXT, NUMBER_PATTERN, QUANTITY_PATTERN, SYSTEMS
from gearing_api.vocabulary import FIELDS, ORIGINAL, ORIGINAL_OBJECT, Field

Schema = dict[str, Any]

NULL: Schema = {"type": "null"}
TEXT: Schema = {"type": "string"}
_HAS_A_DIGIT = "[0-9]"
_ORIGINAL = f"^{ORIGINAL}[a-z_]+$"
_WORDS: Schema = {
    "type": "string",
    "maxLength": LONGEST_CURVE_TEXT,
    "pattern": r"^[\t-\r\u001c-~\u0085\u00a0-\ud7ff]*$",
}
"""Text of any field: UTF-8 has no halves of pairs."""

_TEXTS: dict[str, Schema] = {
    "NumberText": {"type": "string", "maxLength": LONGEST_TEXT, "pattern": NUMBER_PATTERN},
    "QuantityText": {"type": "string", "maxLength": LONGEST_TEXT, "pattern": QUANTITY_PATTERN},
}
"""Schemas that so many fields have in them that they stand by themselves."""


def ref(name: str) -> Schema:
    """Return the reference to a schema of the document."""
    return {"$ref": f"#/components/schemas/{name}"}


def class_name(name: str) -> str:
    """Return the name that a field, an option or a question has among the schemas."""
    return name.replace("_", "-").title().replace("-", "")


def members(**properties: Schema) -> Schema:
    """Return the schema of an object that has all of these members."""
    return {"type": "object", "required": list(properties), "properties": properties}


def option_name(name: str) -> str:
    """Return the name that an option has among the schemas."""
    return f"{class_name(name)}Option"


def list_of(items: Schema, **limits: int) -> Schema:
    """Return the schema of a list."""
    return {"type": "array", "items": items, **limits}


def by_name(values: Schema) -> Schema:
    """Return the schema of an object with any names and these values."""
    return {"type": "object", "additionalProperties": values}


def build_schemas() -> dict[str, Schema]:
    """Return the schemas of all that is sent, by name."""
    fields = {class_name(name): _field_schema(field) for name, field in FIELDS.items()}
    options = {option_name(name): _option_schema(name) for name in OPTIONS}
    requests = {request_name(question): _request(question) for question in QUESTIONS.values()}
    form = by_name(TEXT) | {"description": "Fields and options, written as in a query."}
    return {
        **_TEXTS,
        **_shared_choices(),
        **fields,
        **options,
        "Build": _build(),
        "Form": form,
        **requests,
        **_field_values(),
        "Columns": _columns(),
        "Plan": _plan(),
    }


def field_parameters() -> dict[str, Schema]:
    """Return the fields and options as parameters of a query, by name."""
    fields = {name: field_parameter(field) for name, field in FIELDS.items()}
    options = {
        name: {"name": name, "in": "query", "description": option.about, "schema": ref(option_name(name))}
        for name, option in OPTIONS.items()
    }
    options["pick"] |= {"schema": {"anyOf": [_picks(), ref(option_name("pick"))]}} | _WITH_COMMAS
    return fields | options


_WITH_COMMAS: Schema = {"style": "form", "explode": False}


def field_parameter(field: Field) -> Schema:
    """Return a field as a parameter of a query; what is accepted stands in its schema."""
    about = f"{field.meaning}{_in_brackets(field)}"
    parameter = {"name": field.name, "in": "query", "description": about, "schema": _query_schema(field)}
    return parameter | (_WITH_COMMAS if isinstance(field.kind, Series | Ratios) else {})


def _query_schema(field: Field) -> Schema:
    """Return the schema in a query, where a list of lists can only be text."""
    if not isinstance(field.kind, Curve | Coefficients | Loads):
        return ref(class_name(field.name))
    text = field.kind.text_schema()
    schema: Schema = _with_pattern(text) | {"x-unit": text["x-unit"]}
    return schema


def meaning(field: Field) -> str:
    """Return the meaning of a field with its units, what is accepted, and what is taken where it is not given."""
    units = _in_brackets(field)
    instead = f"; {field.instead} where not given" if field.instead else ""
    default = f" Default: {field.default}." if field.default is not None else ""
    us, metric = (field.kind.accepted(system) for system in SYSTEMS)
    metric = metric.replace("a number from", "from")
    accepted = us if field.kind.accepted("metric") == us else f"{us}; metric: {metric}"
    return f"{field.meaning}{units}{instead}. Accepted: {accepted}.{default}"


def _in_brackets(field: Field) -> str:
    units = field.kind.text_schema().get("x-unit", "")
    if not isinstance(units, dict):
        return ""
    each = [unit if isinstance(unit, str) else ", ".join(unit) for unit in units.values()]
    return f" [{'; '.join(dict.fromkeys(each))}]"


def _field_schema(field: Field) -> Schema:
    schema: Schema = _texts_shared(_with_pattern(field.kind.schema()))
    if isinstance(field.kind, Choice) and field.kind.options in _shared_names():
        schema = {"allOf": [ref(_shared_names()[field.kind.options])]}
    default = {"x-default": field.default} if field.default is not None else {}
    unit = {"x-unit": field.kind.text_schema().get("x-unit", "")}
    examples = {"examples": [example(field)]}
    described: Schema = {"description": meaning(field)} | schema | unit | default | examples
    return described


@cache
def _shared_names() -> dict[tuple[str, ...], str]:
    """Return a name for each choice of words that several fields have: all words, or the first field's."""
    kinds = {name: field.kind for name, field in FIELDS.items() if isinstance(field.kind, Choice)}
    names: dict[tuple[str, ...], str] = {}
    for name, kind in kinds.items():
        if [*kinds.values()].count(kind) > 1 and kind.options not in names:
            words = "-or-".join(kind.options)
            names[kind.options] = class_name(words) if len(kind.options) == 2 else class_name(name) + "Choice"
    return names


def _shared_choices() -> dict[str, Schema]:
    return {name: {"type": "string", "enum": list(options)} for options, name in _shared_names().items()}


def _with_pattern(node: Any) -> Any:
    """Return the schema with a pattern for each text that has neither pattern nor format."""
    if isinstance(node, list):
        return [_with_pattern(child) for child in node]
    if not isinstance(node, dict):
        return node
    made = {name: _with_pattern(child) for name, child in node.items() if name != "x-unit"}
    if made.get("type") == "string" and not {"enum", "pattern", "format"} & made.keys():
        made["pattern"] = _HAS_A_DIGIT
    return made


def _texts_shared(node: Any) -> Any:
    """Return the schema with references in place of the texts that have names."""
    if isinstance(node, list):
        return [_texts_shared(child) for child in node]
    if not isinstance(node, dict):
        return node
    for name, text in _TEXTS.items():
        if node == text:
            return ref(name)
    return {name: _texts_shared(child) for name, child in node.items()}


def example(field: Field) -> Any:
    """Return a value of the field that makes sense: of the demo builds, else its default, else within its bounds."""
    shown = _shown().get(field.name)
    if shown is not None:
        return shown
    return field.default if field.default is not None else _any_value(field.kind)


@cache
def _shown() -> dict[str, Any]:
    """Return the fields of all examples of questions."""
    examples = [question.example for question in QUESTIONS.values()]
    return {name: value for example in reversed(examples) for name, value in example.items()}


def _any_value(kind: Any) -> Any:
    """Return a value that a kind of field accepts, near the middle of its bounds."""
    if isinstance(kind, Choice):
        return kind.options[0]
    if isinstance(kind, Count):
        return (kind.lower + kind.upper) // 2
    if isinstance(kind, Number):
        return _middle(kind)
    if isinstance(kind, Series):
        low, high = (_middle(kind.item) * share for share in (0.5, 1.0))
        return [low, high] if kind.length[0] > 1 else [high]
    if isinstance(kind, Ratios):
        return [4.1, "41/9"]
    if isinstance(kind, Coefficients):
        return ",".join(str(_middle(item)) for item in kind.items)
    if isinstance(kind, Curve):
        return kind.example
    return "200:60,150:120:40" if isinstance(kind, Loads) else "35x12.50R17LT"


def _middle(number: Number) -> float:
    low, high = number.bounds("us")
    middle = math.sqrt(low * high) if low > 0.0 else (low + high) / 2
    return float(f"{middle:.2g}")


def _option_meaning(name: str) -> str:
    option = OPTIONS[name]
    return f"{option.about}. Default: {option.default or 'all'}."


def _option_schema(name: str) -> Schema:
    """Return the schema of an option, without its default, so that programs do not send it."""
    option = OPTIONS[name]
    accepted = {"enum": list(option.choices)} if option.choices else {"maxLength": LONGEST_PICK}
    return {"type": "string", "description": _option_meaning(name)} | accepted


def _picks() -> Schema:
    return list_of({"type": "string", "maxLength": 60}, maxItems=MOST_PICKS)


def _build() -> Schema:
    return {
        "type": "object",
        "description": "One build, with the options of the answer. "
        f"Most fields may be given with {ORIGINAL} in front, or within {ORIGINAL_OBJECT}.",
        "additionalProperties": False,
        "properties": {
            **{name: ref(class_name(name)) for name in FIELDS},
            ORIGINAL_OBJECT: ref("Fields"),
            **{name: ref(option_name(name)) for name in OPTIONS},
            "pick": {"anyOf": [ref(option_name("pick")), _picks()]},
        },
        "patternProperties": _original_fields(),
    }


def _original_fields() -> dict[str, Schema]:
    about = "A field of the vehicle before the change: the same name with this in front, the same values"
    return {_ORIGINAL: ref("FieldValue") | {"description": about}}


def request_name(question: Question) -> str:
    """Return the name of the schema of a question's request."""
    return class_name(question.name) + "Build"


def _request(question: Question) -> Schema:
    """Return the schema of a build that a question can be put to."""
    every: list[Schema] = [ref("Build")]
    required = []
    for name in question.needs:
        ways = list(_ways(name))
        if len(ways) == 1:
            required.append(name)
        else:
            every.append({"anyOf": [{"required": list(way)} for way in ways]})
    return {"description": question.asks, "allOf": every} | ({"required": required} if required else {})


def _ways(name: str) -> Iterator[tuple[str, ...]]:
    """Find each way to give a field: by itself, by tooth counts, or by the one that stands in for it."""
    yield (name,)
    if name == "axle_ratio":
        yield TEETH
    if name == "descent_grade_percent":
        yield ("grade_percent",)
    instead = FIELDS[name].instead
    if instead is not None:
        yield from _ways(instead)


def required_in_query(question: Question) -> list[str]:
    """Return the fields that a question needs and that nothing else can stand in for."""
    return [name for name in question.needs if len(list(_ways(name))) == 1]


def _field_values() -> dict[str, Schema]:
    """Return the schemas of objects of fields whose values are not told one by one."""
    names = {"anyOf": [ref("FieldName"), {"type": "string", "pattern": _ORIGINAL}]}
    plain: list[Schema] = [{"type": "number"}, _WORDS]
    item: Schema = {"anyOf": [*plain, list_of({"anyOf": plain})]}
    value: Schema = {"anyOf": [*plain, list_of(ref("FieldItem"))]}
    cell: Schema = {"anyOf": [*plain, NULL, list_of(ref("FieldItem"))]}
    column: Schema = {"anyOf": [*plain, list_of(cell)]}
    fields = {"type": "object", "propertyNames": names}
    return {
        "FieldItem": item | {"description": "An item of a list, or a point: numbers or text"},
        "FieldValue": value | {"description": "A value of a field, as the field's own schema says"},
        "Fields": fields | {"description": "Values by field", "additionalProperties": ref("FieldValue")},
        "FieldColumns": fields
        | {
            "description": "Each field as one value for all builds, or as a list with one value or null a build",
            "additionalProperties": column,
        },
        "VariedFields": {
            "type": "object",
            "description": "Each key a field with the values it takes, or a part of any name with objects",
            "additionalProperties": list_of(ref("PartChoice"), minItems=1),
            "minProperties": 1,
        },
    }


def _columns() -> Schema:
    options = {name: ref(option_name(name)) for name in OPTIONS}
    options["pick"] = {"anyOf": [ref(option_name("pick")), _picks()]}
    return members(columns=ref("FieldColumns")) | {
        "additionalProperties": False,
        "properties": {"columns": ref("FieldColumns"), **options},
    }


def _plan() -> Schema:
    report = list_of({"anyOf": [ref("ResultName"), {"type": "string", "const": MEETS}]}, minItems=1)
    sort = {
        "type": ["string", "array", "null"],
        "items": {"type": "string"},
        "description": "A column, or several; with - before it the largest first",
    }
    limit = {
        "type": ["integer", "null"],
        "minimum": 1,
        "maximum": MOST_WANTED,
        "description": "The most rows wanted",
    }
    plan = members(
        build=ref("Fields"),
        vary=ref("VariedFields"),
        report=report | {"description": "The results wanted; their names say what is computed"},
    )
    targets = ref("Targets") | {"description": "Rows that miss one are left out, unless meets is reported"}
    plan["properties"] |= {
        "units": ref(option_name("units")),
        "targets": targets,
        "sort": sort,
        "limit": limit,
    }
    return plan | {"additionalProperties": False}


def result_names() -> Schema:
    """Return the schema of the name of any result."""
    return {"type": "string", "enum": list(OWNERS), "description": "The name of a result"}

"""Make `gearing_client/questions.py` from the spec document; ``python -m tests.regenerate`` writes it."""

import textwrap
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from gearing_api.http.requests import OPTION_NAMES
from gearing_api.http.spec import spec
from gearing_api.questions import QUESTIONS

MODULE = Path(__file__).parents[2] / "clients/python/gearing_client/questions.py"

HEAD = '''\
"""The questions, a method each, and their answers. Made from the service's spec document: do not edit.

The program that makes it is `tests/clients/generate_client.py` of the service.
"""

from collections.abc import Mapping, Sequence
from typing import Literal, TypeVar

from gearing_client.answers import Answer

AnAnswer = TypeVar("AnAnswer", bound=Answer)
'''

CLASS = '''\
class Questions:
    """A method a question. Fields are keywords; those that are not given, or None, are not sent.

    Bare numbers are in the client's units, which stand in brackets, US before metric; bounds are told in US
    units. Any number may instead be text with its own unit, ``"65 mph"``. Every method raises `GearingError`
    in one of its kinds: `InvalidBuild` where a field is missing or refused.
    """

    def _answer(self, kind: type[AnAnswer], question: str, build: Mapping[str, object]) -> AnAnswer:
        raise NotImplementedError
'''

SHORT_NAMES = {
    "float | str": "Number",
    "int | str": "Count",
    "Sequence[float | str] | str": "Numbers",
    "Sequence[Sequence[float | str]] | str": "Points",
}

NAMES = {
    "string": "str",
    "number": "float",
    "integer": "int",
    "boolean": "bool",
    "null": "None",
    "object": "Mapping[str, object]",
}
WIDTH = 110

Schema = dict[str, Any]


def question_names() -> list[str]:
    """The questions, by the spec document: what can be asked by GET and by POST."""
    paths = [path for path, item in spec()["paths"].items() if {"get", "post"} <= item.keys()]
    return [path.removeprefix("/v1/") for path in paths if "{" not in path]


def fields(name: str) -> dict[str, Schema]:
    """The parameters of a question that are no options, by their names."""
    parameters = spec()["paths"][f"/v1/{name}"]["get"]["parameters"]
    resolved = [followed(parameter) for parameter in parameters]
    return {each["name"]: each for each in resolved if each["name"] not in OPTION_NAMES}


def followed(part: Schema) -> Schema:
    """This part of the document, or what it refers to, alone or with words of its own."""
    if "$ref" in part:
        _, *steps = part["$ref"].split("/")
        found: Schema = spec()
        for step in steps:
            found = found[step]
        return followed(found)
    if "allOf" in part and len(part["allOf"]) == 1:
        return followed(part["allOf"][0]) | {name: part[name] for name in part if name != "allOf"}
    return part


def hint(schema: Schema) -> str:
    """The type of a value of this JSON Schema."""
    schema = followed(schema)
    if "enum" in schema:
        return f"Literal[{', '.join(_quoted(choice) for choice in schema['enum'])}]"
    if "anyOf" in schema:
        return " | ".join(dict.fromkeys(hint(each) for each in schema["anyOf"]))
    if "type" not in schema:
        return "object"
    if isinstance(schema["type"], list):
        return " | ".join(hint({"type": each}) for each in schema["type"])
    if schema["type"] == "array":
        parts = schema.get("prefixItems") or [schema.get("items", {})]
        return f"Sequence[{hint({'anyOf': parts})}]"
    return NAMES[schema["type"]]


def _quoted(text: str) -> str:
    return f'"{text}"'


def _schema(parameter: Schema) -> Schema:
    """The schema in a JSON document, which is wider than that in an address."""
    in_json: dict[str, Schema] = spec()["components"]["schemas"]["Build"]["properties"]
    return followed(in_json.get(parameter["name"], parameter["schema"]))


def _short(parameter: Schema) -> str:
    schema = _schema(parameter)
    written = hint(schema)
    return _class_name(parameter["name"]) if "enum" in schema else SHORT_NAMES.get(written, written)


def _choice(name: str, schema: Schema) -> str:
    line = f"{_class_name(name)} = {hint(schema)}"
    if len(line) <= WIDTH:
        return line
    lines = "".join(f"    {_quoted(choice)},\n" for choice in schema["enum"])
    return f"{_class_name(name)} = Literal[\n{lines}]"


def _told(parameter: Schema) -> Iterator[str]:
    schema = followed(parameter["schema"])
    unit = _unit(schema.get("x-unit"))
    default = schema.get("x-default")
    meaning = parameter["description"] + (f" Default {default}." if default is not None else "")
    yield f"        {parameter['name']}{unit}"
    yield from _wrapped(meaning.replace("\\", "\\\\"), 12)


def _unit(units: Any) -> str:
    """Units in brackets, US before metric; the parts of one value each have their own."""
    told = units.values() if isinstance(units, dict) else []
    in_each = dict.fromkeys(each if isinstance(each, str) else " and ".join(each) for each in told)
    return f" [{', '.join(in_each)}]" if any(in_each) else ""


def _wrapped(text: str, indent: int) -> list[str]:
    return textwrap.wrap(
        text, WIDTH, initial_indent=" " * indent, subsequent_indent=" " * indent, break_on_hyphens=False
    )


def _class_name(name: str) -> str:
    return name.replace("_", "-").title().replace("-", "")


def _method(name: str) -> Iterator[str]:
    parameters = fields(name).values()
    kind = _class_name(name) + "Answer"
    yield f"    def {name.replace('-', '_')}("
    yield "        self,"
    yield "        *,"
    yield from (f"        {each['name']}: {_short(each)} | None = None," for each in parameters)
    yield f"    ) -> {kind}:"
    yield from _wrapped('"""' + spec()["paths"][f"/v1/{name}"]["get"]["summary"], 8)
    yield ""
    needs = QUESTIONS[name].needs if name in QUESTIONS else fields(name)
    yield from _wrapped("Needs " + ", ".join(needs) + ".", 8)
    yield ""
    yield "        Parameters"
    yield "        ----------"
    for parameter in parameters:
        yield from _told(parameter)
    yield '        """'
    yield "        return self._answer("
    yield f"            {kind},"
    yield f'            "{name}",'
    yield "            {"
    yield from (f'                "{each}": {each},' for each in fields(name))
    yield "            },"
    yield "        )"


def _answer(name: str) -> Iterator[str]:
    results = followed(spec()["components"]["schemas"][_class_name(name) + "Answer"]["properties"]["result"])
    yield f"class {_class_name(name)}Answer(Answer):"
    yield f'    """The answer to {name}."""'
    yield ""
    yield "    __slots__ = ()"
    for result, about in results["properties"].items():
        yield ""
        yield f"    {result}: {hint(about)}"
        about = followed(about)
        yield from _wrapped(f'"""{about["description"]}.{_unit(about.get("x-unit"))}"""', 4)


def generated() -> str:
    """The whole module."""
    names = question_names()
    aliases = [f"{short} = {written}" for written, short in SHORT_NAMES.items()]
    schemas = {field: _schema(parameter) for name in names for field, parameter in fields(name).items()}
    aliases += [_choice(field, schema) for field, schema in schemas.items() if "enum" in schema]
    answers = "\n\n\n".join("\n".join(_answer(name)) for name in names)
    methods = "\n\n".join("\n".join(_method(name)) for name in names)
    return "\n".join([HEAD, *aliases, "\n", answers, "\n", CLASS, methods, ""])

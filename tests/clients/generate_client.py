"""Writes `gearing_client/questions.py` from the spec document, after any change of fields or questions.

``python -m tests.clients.generate_client``
"""

import textwrap
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from gearing_api.http.spec import spec
from gearing_api.questions import QUESTIONS
from gearing_api.vocabulary import FIELDS

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
    in one of its kinds: `Refused` where a field is missing or refused.
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

WIDTH = 110

Schema = dict[str, Any]


def question_fields(name: str) -> list[str]:
    """The fields that a question takes, by the spec document."""
    document = spec()
    parameters = document["paths"][f"/v1/{name}"]["get"]["parameters"]
    names = [parameter.get("name") or parameter["$ref"].rpartition("/")[2] for parameter in parameters]
    return [name for name in names if name in FIELDS]


def hint(schema: Schema) -> str:
    """The type of a value of this JSON Schema."""
    if "enum" in schema:
        return f"Literal[{', '.join(_quoted(choice) for choice in schema['enum'])}]"
    if "anyOf" in schema:
        return " | ".join(dict.fromkeys(hint(each) for each in schema["anyOf"]))
    if isinstance(schema["type"], list):
        return " | ".join(hint({"type": each}) for each in schema["type"])
    if schema["type"] == "array":
        return f"Sequence[{hint(schema['items'])}]"
    return {"string": "str", "number": "float", "integer": "int", "boolean": "bool", "null": "None"}[
        schema["type"]
    ]


def _quoted(text: str) -> str:
    return f'"{text}"'


def _schema(field: str) -> Schema:
    described: Schema = spec()["components"]["schemas"]["Build"]["properties"][field]
    return described


def _short(field: str) -> str:
    written = hint(_schema(field))
    return _class_name(field) if "enum" in _schema(field) else SHORT_NAMES.get(written, written)


def _choice(name: str, schema: Schema) -> str:
    line = f"{_class_name(name)} = {hint(schema)}"
    if len(line) <= WIDTH:
        return line
    lines = "".join(f"    {_quoted(choice)},\n" for choice in schema["enum"])
    return f"{_class_name(name)} = Literal[\n{lines}]"


def _told(name: str) -> Iterator[str]:
    parameter = spec()["components"]["parameters"][name]
    unit = _unit(parameter["schema"].get("x-unit"))
    default = parameter["schema"].get("x-default")
    meaning = parameter["description"] + (f" Default {default}." if default is not None else "")
    yield f"        {name}{unit}"
    yield from _wrapped(meaning.replace("\\", "\\\\"), 12)


def _unit(units: Any) -> str:
    in_each = dict.fromkeys(units.values()) if isinstance(units, dict) else {}
    return f" [{', '.join(in_each)}]" if any(in_each) else ""


def _wrapped(text: str, indent: int) -> list[str]:
    return textwrap.wrap(
        text, WIDTH, initial_indent=" " * indent, subsequent_indent=" " * indent, break_on_hyphens=False
    )


def _class_name(name: str) -> str:
    return name.replace("_", "-").title().replace("-", "")


def _method(name: str) -> Iterator[str]:
    fields = question_fields(name)
    kind = _class_name(name) + "Answer"
    yield f"    def {name.replace('-', '_')}("
    yield "        self,"
    yield "        *,"
    for field in fields:
        yield f"        {field}: {_short(field)} | None = None,"
    yield f"    ) -> {kind}:"
    yield from _wrapped('"""' + spec()["paths"][f"/v1/{name}"]["get"]["summary"], 8)
    yield ""
    yield from _wrapped("Needs " + ", ".join(QUESTIONS[name].needs) + ".", 8)
    yield ""
    yield "        Parameters"
    yield "        ----------"
    for field in fields:
        yield from _told(field)
    yield '        """'
    yield "        return self._answer("
    yield f"            {kind},"
    yield f'            "{name}",'
    yield "            {"
    yield from (f'                "{field}": {field},' for field in fields)
    yield "            },"
    yield "        )"


def _answer(name: str) -> Iterator[str]:
    schema = spec()["components"]["schemas"][_class_name(name) + "Answer"]["properties"]
    yield f"class {_class_name(name)}Answer(Answer):"
    yield f'    """The answer to {name}."""'
    yield ""
    yield "    __slots__ = ()"
    for result, about in schema["result"]["properties"].items():
        yield ""
        yield f"    {result}: {hint({'type': about['type']})}"
        yield from _wrapped(f'"""{about["description"]}.{_unit(about["x-unit"])}"""', 4)


def generated() -> str:
    """The whole module."""
    aliases = [f"{short} = {written}" for written, short in SHORT_NAMES.items()]
    fields = dict.fromkeys(field for name in QUESTIONS for field in question_fields(name))
    aliases += [_choice(field, _schema(field)) for field in fields if "enum" in _schema(field)]
    answers = "\n\n\n".join("\n".join(_answer(name)) for name in QUESTIONS)
    methods = "\n\n".join("\n".join(_method(name)) for name in QUESTIONS)
    return "\n".join([HEAD, *aliases, "\n", answers, "\n", CLASS, methods, ""])


if __name__ == "__main__":
    MODULE.write_text(generated(), encoding="utf-8")

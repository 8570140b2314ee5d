"""Make `gearing_client/questions.py` from the spec document; ``python -m tests.regenerate`` writes it."""

import textwrap
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from gearing_api.http.spec import spec
from gearing_api.questions import QUESTIONS
from gearing_api.vocabulary import FIELDS

MODULE = Path(__file__).parents[2] / "clients/python/gearing_client/questions.py"
SHEET = "build-sheet"
SENTENCE = "from-text"

HEAD = '''\
"""The fields of a build, the answers, and a method for each question. Made from the service's spec document:
do not edit. The program that makes it is `tests/clients/generate_client.py` of the service.
"""

from collections.abc import Mapping, Sequence
from typing import Literal, TypedDict, TypeVar, Unpack

from gearing_client.answers import Answer
from gearing_client.awaiting import awaited

AnAnswer = TypeVar("AnAnswer", bound=Answer)
Number = float | str
Count = int | str
Numbers = Sequence[float | str] | str
Points = Sequence[Sequence[float | str] | str] | str
'''

CLASS = '''\
class Questions:
    """A method a question. It takes the fields of a build as keywords, and ignores those it does not need.

    With `bands` the answer has `ranges`, `drivers` and `shares`. Every method raises `GearingError` in one of its
    kinds: `InvalidBuild` where a field is missing or refused.
    """

    def _answer(
        self, kind: type[AnAnswer], question: str, build: Mapping[str, object], bands: bool = False
    ) -> AnAnswer:
        raise NotImplementedError
'''

FIELDS_CLASS = '''\
class Fields(TypedDict, total=False):
    """Every field of a build. Those that are not given, or None, are not sent.

    Bare numbers are in the client's units, which stand in brackets, US before metric; any number may be text with
    its own unit, ``"65 mph"``. A field of the vehicle before the change has ``original_`` in front; all but those
    named here go in `original`.
    """
'''

_SHORT = {
    "float | str": "Number",
    "int | str": "Count",
    "Sequence[float | str] | str": "Numbers",
    "Sequence[Sequence[float | str] | str] | str": "Points",
    "Sequence[float | str] | str | str": "Numbers",
}
_NAMES = {"string": "str", "number": "float", "integer": "int", "boolean": "bool", "null": "None"}
_WIDTH = 118

Schema = dict[str, Any]


def question_names() -> list[str]:
    """The questions, by the spec document: what can be asked by GET and by POST."""
    paths = [path for path, item in spec()["paths"].items() if {"get", "post"} <= item.keys()]
    return [path.removeprefix("/v1/") for path in paths if "{" not in path]


def _resolved(schema: Schema) -> Schema:
    while "$ref" in schema:
        schema = spec()["components"]["schemas"][schema["$ref"].rpartition("/")[2]]
    return schema


def hint(schema: Schema) -> str:
    """The type of a value of this JSON Schema."""
    schema = _resolved(schema)
    if "enum" in schema:
        return f"Literal[{', '.join(map(_quoted, schema['enum']))}]"
    if "allOf" in schema:
        return hint(schema["allOf"][0])
    if "anyOf" in schema:
        return " | ".join(dict.fromkeys(hint(each) for each in schema["anyOf"]))
    if isinstance(schema["type"], list):
        return " | ".join(_NAMES[each] for each in schema["type"])
    if schema["type"] == "array":
        parts = schema.get("prefixItems") or [schema["items"]]
        return f"Sequence[{hint({'anyOf': parts})}]"
    return _NAMES[schema["type"]]


def _quoted(text: str) -> str:
    return f'"{text}"'


def _class_name(name: str) -> str:
    return name.replace("_", "-").title().replace("-", "")


def _choices() -> dict[str, str]:
    """A name for each choice of words that several fields have or that is long, by its type."""
    properties = spec()["components"]["schemas"]["Build"]["properties"]
    hints = {name: hint(properties[name]) for name in FIELDS}
    found: dict[str, str] = {}
    for name, written in hints.items():
        if written.startswith("Literal") and (len(written) > 80 or [*hints.values()].count(written) > 1):
            found.setdefault(written, "YesNo" if written == 'Literal["yes", "no"]' else _class_name(name))
    return found


def _fields() -> Iterator[str]:
    properties = spec()["components"]["schemas"]["Build"]["properties"]
    choices = _choices()
    for name in FIELDS:
        written = hint(properties[name])
        yield f"    {name}: {_SHORT.get(written) or choices.get(written, written)} | None"
        about = spec()["components"]["parameters"][name]["description"]
        yield from _wrapped(f'"""{about}"""')
    yield '    original: "Fields | None"'
    yield '    """The vehicle before the change, by plain names of fields"""'


def _wrapped(text: str, indent: int = 4) -> list[str]:
    blank = " " * indent
    return textwrap.wrap(text, _WIDTH, initial_indent=blank, subsequent_indent=blank, break_on_hyphens=False)


def _alias(written: str, name: str) -> Iterator[str]:
    line = f"{name} = {written}"
    if len(line) <= _WIDTH:
        yield line
        return
    yield f"{name} = Literal["
    inner = written.removeprefix("Literal[").removesuffix("]")
    yield from (f"    {choice}," for choice in inner.split(", "))
    yield "]"


def _answer(name: str) -> Iterator[str]:
    """The class of an answer; that of the build sheet has the results of all."""
    yield ""
    yield ""
    parts = [
        f"{_class_name(name)}Answer"
        for name, part in QUESTIONS.items()
        if name != SHEET and not part.measures
    ]
    bases = ", ".join(parts) if name == SHEET else "Answer"
    line = f"class {_class_name(name)}Answer({bases}):"
    if len(line) > _WIDTH:
        yield f"class {_class_name(name)}Answer("
        yield from (f"    {part}," for part in parts)
        yield "):"
    else:
        yield line
    yield f'    """The answer to {name}; units stand behind the results."""'
    yield ""
    yield "    __slots__ = ()"
    if name == SHEET:
        return
    answer = spec()["components"]["schemas"][_class_name(name) + "Answer"]
    for result, about in _resolved(answer["properties"]["result"])["properties"].items():
        units = dict.fromkeys(unit for unit in about.get("x-unit", {}).values() if unit)
        kind = "object" if about.get("type") in ("object", "array") or "type" not in about else hint(about)
        kind = "Mapping[str, object]" if "$ref" in about else kind
        yield f"    {result}: {kind}" + (f"  # {'; '.join(units)}" if units else "")
    if name in QUESTIONS and QUESTIONS[name].measures:
        yield "    build: Mapping[str, object]"
        yield "    understood: Sequence[Mapping[str, object]]"
        yield "    unused: Sequence[Mapping[str, object]]"
        yield "    ask: str | None"


def _method(name: str) -> Iterator[str]:
    method, kind = name.replace("-", "_"), _class_name(name) + "Answer"
    asks = spec()["paths"][f"/v1/{name}"]["get"]["summary"]
    yield ""
    if name == SENTENCE:
        yield f"    def {method}(self, q: str) -> {kind}:"
        yield f'        """{asks}"""'
        yield f'        return self._answer({kind}, "{name}", {{"q": q}})'
        return
    needs = ", ".join(QUESTIONS[name].needs) or "one measurement"
    yield f"    def {method}(self, *, bands: bool = False, **build: Unpack[Fields]) -> {kind}:"
    yield from _wrapped(f'"""{asks} Needs {needs}."""', 8)
    yield f'        return self._answer({kind}, "{name}", build, bands)'


def generated() -> str:
    """The whole module."""
    names = question_names()
    lines = [HEAD.rstrip("\n")]
    for written, name in _choices().items():
        lines += _alias(written, name)
    lines += ["", "", FIELDS_CLASS, *_fields()]
    for name in names:
        lines += _answer(name)
    lines += ["", "", CLASS.rstrip("\n")]
    for name in names:
        lines += _method(name)
    lines += ["", "", "class AsyncQuestions:", '    """The same, each to be awaited."""', ""]
    lines += [
        f"    {method} = awaited(Questions.{method})" for method in (name.replace("-", "_") for name in names)
    ]
    return "\n".join([*lines, ""])

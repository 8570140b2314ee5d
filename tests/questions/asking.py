"""How the tests of one question ask it."""

from collections.abc import Callable
from typing import Any

from gearing_api.formats.document import Document, document
from gearing_api.questions import QUESTIONS, ask, read_build

Asking = Callable[..., Document]


def about(name: str, base: dict[str, Any]) -> Asking:
    """A function that asks the question about a build with changes; None takes a field away."""

    def asked(system: Any = "us", /, **changes: Any) -> Document:
        raw = {field: value for field, value in (base | changes).items() if value is not None}
        build = read_build(raw, system)
        return document(QUESTIONS[name], build, ask(QUESTIONS[name], build))

    return asked


def codes(made: Document) -> set[str]:
    """The codes of the cautions of an answer."""
    return {caution["code"] for caution in made["cautions"]}


def column(made: Document, name: str) -> list[Any]:
    """A column of its table."""
    place = made["table"]["columns"].index(name)
    return [row[place] for row in made["table"]["rows"]]

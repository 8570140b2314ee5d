"""Answer one question without a server: about a build, about the rows of a file, or about a sentence."""

import argparse
import sys
import textwrap
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Any, cast

from gearing_api.answer import Question
from gearing_api.commands import Refused, check_overwrite
from gearing_api.formats import CHARTS, FORMATS, offered
from gearing_api.formats.document import answer_as_document
from gearing_api.formats.options import OutputOptions, split_picks
from gearing_api.formats.strict_json import Unfit, parsed
from gearing_api.formats.words import VERDICTS
from gearing_api.mechanics.domain import DomainError
from gearing_api.questions import QUESTIONS, read_build
from gearing_api.units import System
from gearing_api.vocabulary import FIELDS, FieldError, InvalidBuild, with_originals_named

FROM_TEXT = "from-text"
MOST_ROWS = 5_000_000


class FieldsHelp(argparse.Action):
    """Show the help of the command, or after a question that of its fields."""

    def __call__(self, parser: argparse.ArgumentParser, namespace: argparse.Namespace, *_: Any) -> None:
        question = QUESTIONS.get(namespace.question or "")
        print("\n".join(_fields_help(question, namespace.units)) if question else parser.format_help())
        parser.exit()


def _fields_help(question: Question, system: System) -> Iterator[str]:
    yield f"{question.asks}\n\nusage: gearing-api answer {question.name} FIELD=VALUE ... [options]"
    optional = [name for name in question.fields if name not in question.needs]
    for title, names in (("needed", question.needs), ("optional", optional)):
        yield f"\n{title}:"
        for name in names:
            field = FIELDS[name]
            default = f"; default: {field.default}" if field.default is not None else ""
            told = f"{field.meaning.rstrip('.')}: {field.kind.accepted(system)}{default}"
            yield from textwrap.wrap(f"{name}  {told}", 100, initial_indent="  ", subsequent_indent="      ")


def run(given: argparse.Namespace) -> int:
    """Write the answer, and return the exit status."""
    try:
        if given.out is not None:
            check_overwrite(given.out, given.overwrite)
        content = _content(given)
        if given.out is not None:
            given.out.write_bytes(content)
            return 0
        if given.format == "png" and sys.stdout.isatty():
            raise Refused("a picture is not for a terminal: name a file with --out")
    except InvalidBuild as refused:
        return _refuse(f"{fault.field} {fault.detail}" for fault in refused.faults)
    except (DomainError, Refused) as error:
        return _refuse([str(error)])
    except OSError as error:
        return _refuse([f"answer: {error.filename or given.out}: {error.strerror or error}"])
    if given.format == "png":
        sys.stdout.buffer.write(content)
    else:
        text = content.decode()
        print(text, end="" if text.endswith("\n") else "\n")
    return 0


def _refuse(lines: Iterable[str]) -> int:
    for line in lines:
        print(line, file=sys.stderr)
    return 2


def _content(given: argparse.Namespace) -> bytes:
    suffix = given.format or (given.out.suffix.removeprefix(".") if given.out else "")
    if given.question == FROM_TEXT:
        return _served(f"{FROM_TEXT}.{suffix or 'txt'}", q=" ".join(given.fields), units=given.units)
    question = QUESTIONS[given.question]
    sources = [text for text in given.fields if _is_file(text)]
    if len(sources) > 1:
        raise Refused(f"{sources[1]}: one file at a time")
    content = _read(sources[0]) if sources else b""
    is_build = not sources or content.removeprefix(b"\xef\xbb\xbf").lstrip().startswith(b"{")
    fields = _fields(text for text in given.fields if text not in sources)
    if not is_build:
        if fields or given.summary or suffix not in ("", "csv"):
            raise Refused(f"{sources[0]} has rows: they take no other fields, and come back as csv")
        options = {"units": given.units} | ({"pick": given.pick} if given.pick else {})
        options |= {"bands": "1"} if given.bands else {}
        return _served(question.name, content, **options)
    raw, system = _build(sources[0], content, given.units) if sources else ({}, given.units)
    return _answer(question, raw | fields, system, suffix or "txt", given)


def _is_file(text: str) -> bool:
    return text == "-" or ("=" not in text and (text.endswith((".json", ".csv")) or Path(text).is_file()))


def _read(source: str) -> bytes:
    return sys.stdin.buffer.read() if source == "-" else Path(source).read_bytes()


def _fields(texts: Iterator[str]) -> dict[str, object]:
    raw: dict[str, object] = {}
    for text in texts:
        name, equals, value = text.partition("=")
        if not equals or name in raw:
            raise Refused(f"{text}: write each field once, as FIELD=VALUE")
        raw[name] = value
    return raw


def _build(source: str, content: bytes, system: System) -> tuple[dict[str, object], System]:
    """The fields and the units in a JSON object such as a request has."""
    try:
        members = with_originals_named(parsed(content))
    except Unfit as error:
        raise Refused(f"{source} cannot be read: {error}") from error
    units = members.pop("units", system)
    if units not in ("us", "metric"):
        raise InvalidBuild([FieldError("units", "must be us or metric", units)])
    return members, cast(System, units)


def _answer(
    question: Question, raw: dict[str, object], system: System, suffix: str, given: argparse.Namespace
) -> bytes:
    form = offered(question).get(suffix)
    if form is None:
        forms = ", ".join(offered(question))
        raise Refused(f"{question.name} has no format {suffix}: it has {forms}")
    picks = split_picks(given.pick)
    made = answer_as_document(
        question, read_build(raw, system), picks, drawn=form.draws, bands=given.bands, tornado=given.tornado
    )
    if form.draws and "picture" not in made:
        raise Refused(f"There is nothing to draw of this build: {made['summary']}")
    if given.summary:
        return f"{VERDICTS[made['verdict']]}: {made['summary']}".encode()
    return form.write(made, OutputOptions(picks, bands=given.bands))


def _served(address: str, rows: bytes | None = None, **query: str) -> bytes:
    """What the service would answer, asked in this process and without limits."""
    from gearing_api.app import create_app
    from gearing_api.settings import Settings

    settings = Settings(
        requests_per_minute=0, cpu_seconds_per_minute=0, at_once=0, rows=MOST_ROWS, cells=100 * MOST_ROWS,
        many_bytes=1000 * MOST_ROWS, combinations=MOST_ROWS,
    )  # fmt: skip
    body: dict[str, Any] = {} if rows is None else {"data": rows, "content_type": "text/csv"}
    response = (
        create_app(settings)
        .test_client()
        .open(f"/v1/{address}", method="POST" if rows is not None else "GET", query_string=query, **body)
    )
    if response.status_code == 200:
        return bytes(response.data)
    problem = response.get_json()
    errors = [error["detail"] for error in problem.get("errors", ())]
    raise Refused("\n".join(errors or [problem["detail"]]))


CHOICES = (*QUESTIONS, FROM_TEXT)
SUFFIXES = (*FORMATS, *CHARTS)

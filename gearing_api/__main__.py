"""The command line: serve, answer, spec."""

import argparse
import sys
from collections.abc import Callable
from pathlib import Path

from gearing_api.formats import FORMATS
from gearing_api.formats.document import document, picked
from gearing_api.formats.wishes import Wishes
from gearing_api.mechanics.domain import DomainError
from gearing_api.questions import QUESTIONS, ask, read_build
from gearing_api.vocabulary import Refused

_EXAMPLES = """\
examples:
  gearing-api serve --port 8080 --workers 2
  gearing-api answer crawl tyre=35x12.50R17LT axle_ratio=4.56 gear_ratios=4.46,2.61 transfer_ratios=1,2.72
  gearing-api answer tyre tyre=LT315/70R17 tyre_pressure="30 psi" tyre_load=600 --units metric --pick sag
  gearing-api answer final-drive tyre="36.4 in" original_tyre=LT245/75R17 axle_ratio=3.73
  gearing-api spec --out openapi/openapi.json
"""


def main(arguments: list[str] | None = None) -> int:
    """Run one command; the exit status."""
    parser = _parser()
    given = parser.parse_args(arguments)
    return int(given.run(given))


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="gearing-api",
        description="Drivability of a trail vehicle after a change of tyre, axle or gears.",
        epilog=_EXAMPLES,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    commands = parser.add_subparsers(required=True, metavar="COMMAND")

    serve = commands.add_parser("serve", help="run the HTTP service with gunicorn")
    serve.add_argument(
        "--host", default="127.0.0.1", help="address to listen on (default: %(default)s, this machine only)"
    )
    serve.add_argument("--port", type=_whole_number(1, 65535), default=8000, help="default: %(default)s")
    serve.add_argument(
        "--workers", type=_whole_number(1, 64), default=2, help="worker processes (default: %(default)s)"
    )
    serve.set_defaults(run=_serve)

    answer = commands.add_parser(
        "answer",
        help="answer one question here, without a server",
        epilog=_EXAMPLES,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    answer.add_argument(
        "question", choices=list(QUESTIONS), metavar="QUESTION", help="one of " + ", ".join(QUESTIONS)
    )
    answer.add_argument("fields", nargs="*", metavar="FIELD=VALUE", help="fields of the build")
    answer.add_argument("--units", choices=("us", "metric"), default="us", help="default: %(default)s")
    answer.add_argument("--format", choices=list(FORMATS), default="txt", help="default: %(default)s")
    answer.add_argument("--pick", default="", help="only these results, comma-separated")
    answer.set_defaults(run=_answer)

    spec = commands.add_parser("spec", help="write the spec document (OpenAPI 3.1)")
    spec.add_argument("--out", type=Path, help="file to write; standard output if not given")
    spec.set_defaults(run=_spec)
    return parser


def _whole_number(lowest: int, highest: int) -> Callable[[str], int]:
    def read(text: str) -> int:
        number = int(text) if text.isascii() and text.isdigit() and len(text) < 10 else -1
        if not lowest <= number <= highest:
            raise argparse.ArgumentTypeError(f"must be a whole number from {lowest} to {highest}")
        return number

    return read


def _serve(given: argparse.Namespace) -> int:
    from gearing_api.serving import run
    from gearing_api.settings import Settings

    try:
        settings = Settings.from_environment()
    except ValueError as error:
        print(error, file=sys.stderr)
        return 2
    run(settings, given.host, given.port, given.workers)
    return 0


def _answer(given: argparse.Namespace) -> int:
    raw: dict[str, object] = {}
    for text in given.fields:
        name, equals, value = text.partition("=")
        if not equals or name in raw:
            print(f"{text}: write each field once, as FIELD=VALUE", file=sys.stderr)
            return 2
        raw[name] = value
    question = QUESTIONS[given.question]
    picks = tuple(name.strip() for name in given.pick.split(",") if name.strip())
    try:
        build = read_build(raw, given.units)
        made = document(question, build, ask(question, build))
        if picks:
            made = picked(made, picks)
        text = FORMATS[given.format].write(made, Wishes(picks)).decode()
    except Refused as refused:
        for fault in refused.faults:
            print(f"{fault.field} {fault.detail}", file=sys.stderr)
        return 2
    except DomainError as error:
        print(error, file=sys.stderr)
        return 2
    print(text, end="" if text.endswith("\n") else "\n")
    return 0


def _spec(given: argparse.Namespace) -> int:
    from gearing_api.http.spec import spec_text

    if given.out is None:
        print(spec_text())
    else:
        given.out.write_text(spec_text() + "\n", encoding="utf-8")
    return 0


if __name__ == "__main__":
    sys.exit(main())

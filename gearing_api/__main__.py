"""The command line: serve, answer, sweep, spec."""

import argparse
import json
import sys
from collections.abc import Callable
from pathlib import Path

from gearing_api.formats import FORMATS
from gearing_api.formats.document import answer_as_document
from gearing_api.formats.options import OutputOptions, split_picks
from gearing_api.formats.strict_json import Unfit, parsed
from gearing_api.formats.words import VERDICTS
from gearing_api.mechanics.domain import DomainError
from gearing_api.questions import QUESTIONS, read_build
from gearing_api.vocabulary import InvalidBuild

_EXAMPLES = """\
examples:
  gearing-api serve --port 8080 --workers 2
  gearing-api answer crawl tyre=35x12.50R17LT axle_ratio=4.56 gear_ratios=4.46,2.61 transfer_ratios=1,2.72
  gearing-api answer tyre tyre=LT315/70R17 tyre_pressure="30 psi" tyre_load=600 --units metric --pick sag
  gearing-api answer final-drive tyre="36.4 in" original_tyre=LT245/75R17 axle_ratio=3.73
  gearing-api sweep plan.json --out results.csv --workers 2
  gearing-api spec --out openapi/openapi.json
"""


_PLAN = """\
a plan names the fields to vary and the results to report, of any question:
  {"build": {"tyre": "35x12.50R17LT", "gear_ratios": [4.46, 2.61]}, "units": "us",
   "vary": {"axle_ratio": [4.1, 4.56, 4.88], "transfer_ratios": [[1, 2.72], [1, 4]]},
   "report": ["crawl_ratio", "crawl_speed"]}
"""


def main(arguments: list[str] | None = None) -> int:
    """Run one command and return its exit status."""
    parser = _parser()
    given = parser.parse_args(arguments)
    return int(given.run(given))


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="gearing-api",
        description="Drivability of a trail vehicle after a change of tyres, axles or gears.",
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
        help="answer one question, without a server",
        epilog=_EXAMPLES,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    answer.add_argument(
        "question", choices=list(QUESTIONS), metavar="QUESTION", help="one of " + ", ".join(QUESTIONS)
    )
    answer.add_argument("fields", nargs="+", metavar="FIELD=VALUE", help="fields of the build")
    answer.add_argument("--units", choices=("us", "metric"), default="us", help="default: %(default)s")
    answer.add_argument("--format", choices=list(FORMATS), default="txt", help="default: %(default)s")
    answer.add_argument("--summary", action="store_true", help="only the verdict and the summary")
    answer.add_argument("--pick", default="", help="only these results or columns, comma-separated")
    answer.set_defaults(run=_answer)

    sweep = commands.add_parser(
        "sweep",
        help="write a comparison of any size to a file",
        description="Calculate every combination of a plan and write them to a file. After an interruption, "
        "start it again: it continues with the blocks that are missing.",
        epilog=_PLAN,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    sweep.add_argument("plan", type=Path, metavar="PLAN.json", help="the plan, as for /v1/comparison")
    sweep.add_argument("--out", type=Path, required=True, help="results.csv or results.parquet")
    sweep.add_argument(
        "--workers",
        type=_whole_number(1, 64),
        default=1,
        help="processes on this machine (default: %(default)s)",
    )
    sweep.add_argument("--scheduler", help="address of a Dask scheduler, such as tcp://127.0.0.1:8786")
    sweep.add_argument(
        "--block",
        type=_whole_number(1, 1_000_000),
        default=100_000,
        help="rows per block, saved together (default: %(default)s)",
    )
    sweep.set_defaults(run=_sweep)

    spec = commands.add_parser("spec", help="write the spec document (OpenAPI 3.1)")
    spec.add_argument("--out", type=Path, help="file to write (default: standard output)")
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
    from gearing_api.server.configuration import run
    from gearing_api.settings import Settings

    try:
        settings = Settings.from_environment()
    except ValueError as error:
        print(error, file=sys.stderr)
        return 2
    try:
        run(settings, given.host, given.port, given.workers)
    except FileNotFoundError as error:
        print(f"serve: {error.strerror}", file=sys.stderr)
        return 1
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
    picks = split_picks(given.pick)
    try:
        build = read_build(raw, given.units)
        made = answer_as_document(question, build, picks)
        text = (
            f"{VERDICTS[made['verdict']]}: {made['summary']}"
            if given.summary
            else FORMATS[given.format].write(made, OutputOptions(picks)).decode()
        )
    except InvalidBuild as refused:
        for fault in refused.faults:
            print(f"{fault.field} {fault.detail}", file=sys.stderr)
        return 2
    except DomainError as error:
        print(error, file=sys.stderr)
        return 2
    print(text, end="" if text.endswith("\n") else "\n")
    return 0


def _sweep(given: argparse.Namespace) -> int:
    from tqdm import tqdm

    from gearing_api.batch.sweeps import Sweep, SweepError, run

    try:
        sweep = Sweep(json.dumps(parsed(given.plan.read_bytes())), given.out, given.block)
        done = sweep.plan.rows - sum(sweep.rows(place) for place in sweep.missing())
        with tqdm(total=sweep.plan.rows, initial=done, unit="row", unit_scale=True, disable=None) as bar:
            for rows in run(sweep, given.workers, given.scheduler):
                bar.update(rows)
    except InvalidBuild as refused:
        for fault in refused.faults:
            print(f"{fault.field} {fault.detail}", file=sys.stderr)
        return 2
    except Unfit as error:
        print(f"{given.plan} cannot be read: {error}", file=sys.stderr)
        return 2
    except SweepError as error:
        print(f"sweep: {error}", file=sys.stderr)
        return 1
    except OSError as error:
        print(f"sweep: {error.filename or given.out}: {error.strerror or error}", file=sys.stderr)
        return 1
    except KeyboardInterrupt:
        print("sweep: stopped; start it again to continue", file=sys.stderr)
        return 130
    print(f"{given.out}: {sweep.plan.rows} rows")
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

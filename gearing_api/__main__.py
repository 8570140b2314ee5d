"""The command line: serve, answer, shortlist, sweep, spec, completion."""

import os

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # numpy starts threads for matrices: we have none

import argparse
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

from gearing_api import __version__
from gearing_api.commands import answer

_EXAMPLES = """\
examples:
  gearing-api serve --port 8080 --workers 2
  gearing-api answer crawl tyre=35x12.50R17LT axle_ratio=4.56 gear_ratios=4.46,2.61 transfer_ratios=1,2.72
  gearing-api answer tyre tyre=LT315/70R17 tyre_pressure="30 psi" tyre_load=600 --units metric --pick sag
  gearing-api answer final-drive tyre="36.4 in" original_tyre=LT245/75R17 axle_ratio=3.73
  gearing-api answer from-text "going from 31s to 35s on 4.10s, 3.83 first, 2.72 low"
  gearing-api answer road-speed truck.json axle_ratio=4.88 --out curve.svg
  gearing-api answer crawl trucks.csv --out answers.csv
  gearing-api answer crawl --help
  gearing-api shortlist plan.json
  gearing-api sweep plan.json --out results.csv --workers 2
  gearing-api spec --out openapi/openapi.json
"""


_PLAN = """\
a plan names the fields to vary and the results to report, of any question:
  {"build": {"tyre": "35x12.50R17LT", "gear_ratios": [4.46, 2.61]}, "units": "us",
   "vary": {"axle_ratio": [4.1, 4.56, 4.88], "transfer_ratios": [[1, 2.72], [1, 4]]},
   "report": ["crawl_ratio", "crawl_speed"]}
"""


_SHORTLIST = """\
a plan names the parts to choose among, what they cost, the targets (limits) and the aims (preferences):
  {"build": {"gear_ratios": [4.46, 2.61], "transfer_ratios": [1, 2.72]},
   "among": {"tyre": ["33x12.50R17LT", "35x12.50R17LT"],
             "gears": [{"name": "4.10", "price": 1250, "axle_ratio": "41/10"},
                       {"name": "4.56", "price": 1250, "axle_ratio": "41/9"}]},
   "sums": ["price"], "targets": {"crawl_ratio": {"least": 50}}, "aims": {"price": "low"}}
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
    parser.add_argument("--version", action="version", version=f"%(prog)s {__version__}")
    commands = parser.add_subparsers(required=True, metavar="COMMAND")
    _add_serve(commands)
    _add_answer(commands)
    _add_shortlist(commands)
    _add_sweep(commands)
    spec = commands.add_parser("spec", help="write the spec document (OpenAPI 3.1)")
    spec.add_argument("--out", type=Path, help="file to write (default: standard output)")
    spec.set_defaults(run=_spec)
    completion = commands.add_parser("completion", help="print what a shell reads to complete commands")
    completion.add_argument("shell", choices=("bash", "zsh", "tcsh"))
    completion.set_defaults(run=lambda given: _completion(parser, given.shell))
    return parser


def _add_serve(commands: Any) -> None:
    serve = commands.add_parser("serve", help="run the HTTP service with gunicorn")
    serve.add_argument(
        "--host", default="127.0.0.1", help="address to listen on (default: %(default)s, this machine only)"
    )
    serve.add_argument("--port", type=_whole_number(1, 65535), default=8000, help="default: %(default)s")
    serve.add_argument(
        "--workers", type=_whole_number(1, 64), default=2, help="worker processes (default: %(default)s)"
    )
    serve.set_defaults(run=_serve)


def _add_answer(commands: Any) -> None:
    parser = commands.add_parser(
        "answer",
        help="answer one question, without a server",
        epilog=_EXAMPLES,
        formatter_class=argparse.RawDescriptionHelpFormatter,
        add_help=False,
    )
    parser.add_argument(
        "question", choices=answer.CHOICES, metavar="QUESTION", help="one of " + ", ".join(answer.CHOICES)
    )
    parser.add_argument(
        "fields",
        nargs="+",
        metavar="FIELD=VALUE",
        help="fields of the build; or a file with a build in JSON (further fields replace those in it) or with a "
        "build a row in CSV; - reads it from standard input; or the sentence of from-text",
    )
    parser.add_argument(
        "-h", "--help", action=answer.FieldsHelp, nargs=0, help="this help, or after a QUESTION its fields"
    )
    parser.add_argument("--units", choices=("us", "metric"), default="us", help="default: %(default)s")
    parser.add_argument("--format", choices=answer.SUFFIXES, help="default: by the name of --out, or txt")
    parser.add_argument("--summary", action="store_true", help="only the verdict and the summary")
    parser.add_argument("--pick", default="", help="only these results or columns, comma-separated")
    parser.add_argument(
        "--bands", action="store_true", help="between which ends 9 in 10 builds like this one lie"
    )
    parser.add_argument(
        "--tornado", default="", metavar="RESULT", help="what each input alone makes of this result"
    )
    parser.add_argument("--out", type=Path, help="file to write (default: standard output)")
    parser.add_argument("--overwrite", action="store_true", help="overwrite that file without asking")
    parser.set_defaults(run=answer.run)


def _add_shortlist(commands: Any) -> None:
    shortlist = commands.add_parser(
        "shortlist",
        help="which parts together meet the targets, of any number of combinations",
        description="Rank every combination of a plan by its targets and aims.",
        epilog=_SHORTLIST,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    shortlist.add_argument("plan", type=Path, metavar="PLAN.json", help="the plan, as for /v1/shortlist")
    shortlist.add_argument(
        "--out",
        type=Path,
        help="file for the answer as JSON, or its picture (.svg, .png); - is standard output (default: text)",
    )
    shortlist.add_argument(
        "--bands", action="store_true", help="say of the first 50 rows in which share of draws they meet all"
    )
    _add_offline_options(shortlist, "combinations computed together")
    shortlist.set_defaults(run=_shortlist)


def _add_sweep(commands: Any) -> None:
    sweep = commands.add_parser(
        "sweep",
        help="write a comparison of any size to a file",
        description="Calculate every combination of a plan and write them to a file. After an interruption, "
        "start it again: it continues with the blocks that are missing.",
        epilog=_PLAN,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    sweep.add_argument("plan", type=Path, metavar="PLAN.json", help="the plan, as for /v1/comparison")
    sweep.add_argument(
        "--out", type=Path, required=True, help="results.csv or results.parquet; - is standard output, as CSV"
    )
    _add_offline_options(sweep, "rows per block, saved together")
    sweep.set_defaults(run=_sweep)


def _add_offline_options(command: argparse.ArgumentParser, about_block: str) -> None:
    command.add_argument("--overwrite", action="store_true", help="overwrite that file without asking")
    command.add_argument(
        "--workers",
        type=_whole_number(1, 64),
        default=1,
        help="processes on this machine (default: %(default)s)",
    )
    command.add_argument("--scheduler", help="address of a Dask scheduler, such as tcp://127.0.0.1:8786")
    command.add_argument("--block", type=_whole_number(1, 1_000_000), help=about_block)


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
    except OSError as error:
        where = f"{error.filename}: " if error.filename else ""
        print(f"serve: {where}{error.strerror or error}", file=sys.stderr)
        return 1
    return 0


def _shortlist(given: argparse.Namespace) -> int:
    from gearing_api.commands.shortlist import shortlist

    return shortlist(given)


def _sweep(given: argparse.Namespace) -> int:
    from gearing_api.commands.sweep import sweep

    return sweep(given)


def _completion(parser: argparse.ArgumentParser, shell: str) -> int:
    from gearing_api.commands.completion import print_completion

    return print_completion(parser, shell)


def _spec(given: argparse.Namespace) -> int:
    from gearing_api.http.spec import spec_text

    if given.out is None:
        print(spec_text())
    else:
        given.out.write_text(spec_text() + "\n", encoding="utf-8")
    return 0


if __name__ == "__main__":
    sys.exit(main())

"""Rank a shortlist of any size, and print it or write it to a file."""

import argparse
import json
import sys
from pathlib import Path

from tqdm import tqdm

from gearing_api.batch.shortlist_answers import as_text, errors_of, shortlist_document
from gearing_api.batch.shortlist_runs import BLOCK, ShortlistRun
from gearing_api.batch.shortlists import Ranking
from gearing_api.commands import Refused, check_overwrite
from gearing_api.commands.plans import STANDARD_OUTPUT, carry_out
from gearing_api.formats.options import OutputOptions
from gearing_api.formats.shortlist_drawn import shortlist_file
from gearing_api.formats.strict_json import parsed


def shortlist(given: argparse.Namespace) -> int:
    """Rank the combinations of the plan; return the exit status."""
    return carry_out("shortlist", given, _rank)


def _rank(given: argparse.Namespace) -> None:
    run = ShortlistRun(json.dumps(parsed(given.plan.read_bytes())), given.block or BLOCK)
    if given.out not in (None, STANDARD_OUTPUT):
        check_overwrite(given.out, given.overwrite)
    _write(_ranked(run, given), given.out, bands=given.bands)


def _ranked(run: ShortlistRun, given: argparse.Namespace) -> Ranking:
    ranked: Ranking | None = None
    with tqdm(total=run.plan.count, unit="row", unit_scale=True, disable=None) as bar:
        for rows, found in run.run(given.workers, given.scheduler):
            ranked = found
            bar.update(rows)
    assert ranked is not None  # a plan has a combination
    return ranked


def _write(ranked: Ranking, out: Path | None, *, bands: bool) -> None:
    made = shortlist_document(ranked, bands=bands)
    for fault, more in errors_of(ranked):
        print(f"{more['count']} refused: {fault.field} {fault.detail}", file=sys.stderr)
    if out is None:
        print(as_text(made))
        return
    if out is not None and out.suffix in (".svg", ".png"):
        drawn = shortlist_file(made, OutputOptions(), "svg" if out.suffix == ".svg" else "png")
        if drawn is None:
            raise Refused(f"there is nothing to draw: {made['summary']}")
        out.write_bytes(drawn)
        print(f"{out}: {made['summary']}")
        return
    whole = json.dumps(made, indent=1, ensure_ascii=False) + "\n"
    if out == STANDARD_OUTPUT:
        print(whole, end="")
    else:
        out.write_text(whole, encoding="utf-8")
        print(f"{out}: {made['summary']}")

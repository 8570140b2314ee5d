"""Write a comparison of any size to a file, or to standard output."""

import argparse
import json
import os
import sys
from pathlib import Path

from tqdm import tqdm

from gearing_api.batch.columns import CAUTIONS
from gearing_api.batch.sweeps import BLOCK, Sweep, run
from gearing_api.commands import Refused, check_overwrite
from gearing_api.commands.plans import STANDARD_OUTPUT, carry_out
from gearing_api.formats.options import OutputOptions
from gearing_api.formats.streams import csv_heading
from gearing_api.formats.strict_json import parsed


def sweep(given: argparse.Namespace) -> int:
    """Compute the plan and write its rows; return the exit status."""
    return carry_out("sweep", given, _compute, "stopped; start it again to continue")


def _compute(given: argparse.Namespace) -> None:
    plan = json.dumps(parsed(given.plan.read_bytes()))
    if given.out == STANDARD_OUTPUT:
        _to_standard_output(Sweep(plan, Path("rows.csv"), given.block or BLOCK), given)
        return
    made = Sweep(plan, given.out, given.block or BLOCK)
    check_overwrite(given.out, given.overwrite)
    _to_file(made, given)
    print(f"{given.out}: {made.plan.rows} rows")


def _to_file(made: Sweep, given: argparse.Namespace) -> None:
    done = made.plan.rows - sum(made.rows(place) for place in made.missing())
    with tqdm(total=made.plan.rows, initial=done, unit="row", unit_scale=True, disable=None) as bar:
        for rows in run(made, given.workers, given.scheduler):
            bar.update(rows)


def _to_standard_output(made: Sweep, given: argparse.Namespace) -> None:
    """Write CSV block by block, as it is computed: nothing is kept, and nothing continues an interruption."""
    if given.workers > 1 or given.scheduler:
        raise Refused("--out - computes in this process: leave out --workers and --scheduler")
    out = sys.stdout.buffer
    try:
        out.write(csv_heading([*made.plan.columns, CAUTIONS], OutputOptions()))
        for place in range(made.count):
            out.write(made.computed(place))
        out.flush()
    except BrokenPipeError:  # whoever reads has seen enough
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())

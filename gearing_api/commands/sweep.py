"""Write a comparison of any size to a file, or to standard output."""

import argparse
import json
import os
import sys
from pathlib import Path

from tqdm import tqdm

from gearing_api.batch.columns import CAUTIONS
from gearing_api.batch.sweeps import BLOCK, Sweep, run
from gearing_api.batch.workers import WorkError
from gearing_api.commands import Refused, check_overwrite
from gearing_api.formats.options import OutputOptions
from gearing_api.formats.streams import csv_heading
from gearing_api.formats.strict_json import Unfit, parsed
from gearing_api.vocabulary import InvalidBuild

STANDARD_OUTPUT = Path("-")


def sweep(given: argparse.Namespace) -> int:
    """Compute the plan and write its rows; return the exit status."""
    try:
        plan = json.dumps(parsed(given.plan.read_bytes()))
        if given.out == STANDARD_OUTPUT:
            return _to_standard_output(Sweep(plan, Path("rows.csv"), given.block or BLOCK), given)
        made = Sweep(plan, given.out, given.block or BLOCK)
        check_overwrite(given.out, given.overwrite)
        _to_file(made, given)
    except InvalidBuild as refused:
        for fault in refused.faults:
            print(f"{fault.field} {fault.detail}", file=sys.stderr)
        return 2
    except Refused as error:
        print(f"sweep: {error}", file=sys.stderr)
        return 2
    except Unfit as error:
        print(f"{given.plan} cannot be read: {error}", file=sys.stderr)
        return 2
    except WorkError as error:
        print(f"sweep: {error}", file=sys.stderr)
        return 1
    except OSError as error:
        print(f"sweep: {error.filename or given.out}: {error.strerror or error}", file=sys.stderr)
        return 1
    except KeyboardInterrupt:
        print("sweep: stopped; start it again to continue", file=sys.stderr)
        return 130
    print(f"{given.out}: {made.plan.rows} rows")
    return 0


def _to_file(made: Sweep, given: argparse.Namespace) -> None:
    done = made.plan.rows - sum(made.rows(place) for place in made.missing())
    with tqdm(total=made.plan.rows, initial=done, unit="row", unit_scale=True, disable=None) as bar:
        for rows in run(made, given.workers, given.scheduler):
            bar.update(rows)


def _to_standard_output(made: Sweep, given: argparse.Namespace) -> int:
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
    return 0

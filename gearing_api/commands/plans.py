"""Run the work of a plan, and say in a line what went wrong with it."""

import argparse
import sys
from collections.abc import Callable
from pathlib import Path

from gearing_api.batch.workers import WorkError
from gearing_api.commands import Refused
from gearing_api.formats.strict_json import Unfit
from gearing_api.vocabulary import InvalidBuild

STANDARD_OUTPUT = Path("-")


def carry_out(
    name: str, given: argparse.Namespace, work: Callable[[argparse.Namespace], None], stopped: str = "stopped"
) -> int:
    """Return the exit status of a command: 0, 2 where the plan or the file is refused, 1 where the work fails."""
    try:
        work(given)
    except InvalidBuild as refused:
        return _say("\n".join(f"{fault.field} {fault.detail}" for fault in refused.faults), 2)
    except Refused as error:
        return _say(f"{name}: {error}", 2)
    except Unfit as error:
        return _say(f"{given.plan} cannot be read: {error}", 2)
    except WorkError as error:
        return _say(f"{name}: {error}", 1)
    except OSError as error:
        return _say(f"{name}: {error.filename or given.out}: {error.strerror or error}", 1)
    except KeyboardInterrupt:
        return _say(f"{name}: {stopped}", 130)
    return 0


def _say(text: str, status: int) -> int:
    print(text, file=sys.stderr)
    return status

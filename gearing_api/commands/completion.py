"""Print the completion of a shell."""

import argparse
import sys


def print_completion(parser: argparse.ArgumentParser, shell: str) -> int:
    """Print the script that a shell reads to complete our commands; return the exit status."""
    try:
        import shtab
    except ImportError:
        print("shtab is not installed: pip install 'gearing-api[completion]'", file=sys.stderr)
        return 1
    print(shtab.complete(parser, shell))
    return 0

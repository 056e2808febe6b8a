"""``python -m tests.bench [NAME ...]``, as ``handbook.py bench`` calls it: every benchmark, or those named."""

import argparse
import sys
from collections.abc import Sequence
from pathlib import Path

from tests.bench import record, rig

BENCHES = {"rig": rig.run, "record": record.run}
"""Name -> what is run with (content folder, number of cases or None for the whole); returns an exit status."""


def main(arguments: Sequence[str]) -> int:
    """Run what the command line names; the highest exit status of all."""
    parser = argparse.ArgumentParser(prog="handbook.py bench")
    parser.add_argument("names", nargs="*", choices=[[], *BENCHES], metavar="NAME")
    parser.add_argument("--content", type=Path, required=True)
    parser.add_argument("--cases", type=int)
    chosen = parser.parse_args(arguments)
    return max(BENCHES[name](chosen.content, chosen.cases) for name in chosen.names or BENCHES)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))

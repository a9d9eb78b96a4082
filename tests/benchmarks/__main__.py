"""`python -m tests.benchmarks [--runs N]`: measures and prints the table. Ends with 1 if a budget is missed."""

from __future__ import annotations

import argparse
import sys
import tempfile
from pathlib import Path

from rich.console import Console

from tests.benchmarks.harness import measure, rows, table

TABLE_WIDTH = 160  # also where the output is piped


def main() -> int:
    """The command."""
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks", description="Speed, side by side in one run.")
    parser.add_argument("--runs", type=int, default=5, metavar="N", help="measured runs after one to warm up (5)")
    runs = parser.parse_args().runs
    if runs < 1:
        parser.error("--runs must be 1 or more")
    messages = Console(stderr=True)
    with tempfile.TemporaryDirectory(prefix="planpress-benchmarks-") as folder:
        lines = rows(measure(Path(folder), runs, messages.print))
    console = Console()
    console.width = max(console.width, TABLE_WIDTH)
    console.print(table(lines, f"{runs} runs"))
    return int(any(line.is_kept is False for line in lines))


if __name__ == "__main__":
    sys.exit(main())

"""`python -m planpress.buying FILE.json`: lay out one instance, print one JSON object.

Exit status 0: done; 2: the file cannot be read or laid out, or the command was wrong (message on stderr).
"""

from __future__ import annotations

import argparse
import json
import sys
import time
from collections.abc import Sequence
from pathlib import Path

from planpress.buying.boards.layout import lay_out_boards
from planpress.buying.boards.normal import NoLayoutError
from planpress.buying.boards.records import BoardProblem
from planpress.buying.instance_file import Answer, InstanceError, Problem, board_answer, read_instance, sheet_answer
from planpress.buying.sheets.layout import lay_out_sheets


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the command; gives its exit status."""
    parser = argparse.ArgumentParser(prog="python -m planpress.buying", description="Lay out boards or sheets.")
    parser.add_argument("file", type=Path, metavar="FILE.json", help="an instance of a cutting problem")
    file = parser.parse_args(arguments).file
    try:
        print(json.dumps(_answer(read_instance(file.read_text(encoding="utf-8")))))
    except OSError as error:
        print(f"{file}: {error.strerror}", file=sys.stderr)
        return 2
    except UnicodeDecodeError:
        print(f"{file}: not a text file in UTF-8", file=sys.stderr)
        return 2
    except (InstanceError, NoLayoutError) as error:
        print(f"{file}: {error}", file=sys.stderr)
        return 2
    return 0


def _answer(problem: Problem) -> Answer:
    """Lay out and time it."""
    start = time.perf_counter()
    if isinstance(problem, BoardProblem):
        boards = lay_out_boards(problem)
        return board_answer(boards, time.perf_counter() - start)
    sheets = lay_out_sheets(problem)
    return sheet_answer(sheets, time.perf_counter() - start)


if __name__ == "__main__":
    sys.exit(main())

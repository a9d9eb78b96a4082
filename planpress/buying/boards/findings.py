"""What a reader must be told before boards are laid out: parts that fit nowhere, and parts that miss by the kerf."""

from __future__ import annotations

from collections.abc import Callable

from planpress.base.diagnostics import Diagnostic, Severity
from planpress.buying.boards.records import BoardProblem


def board_findings(problem: BoardProblem, say: Callable[[int], str] = str) -> list[Diagnostic]:
    """Parts longer than every board ("board-too-short", an error) and parts of which one fewer fits on a board only
    because of what the saw takes ("kerf-costs-a-part", a note), with the numbers and the ways out.

    Args:
        say: how a length of the problem's unit is written.
    """
    found = []
    usable = [problem.usable(stock) for stock in range(len(problem.stock)) if problem.stock[stock].limit != 0]
    longest = max(usable, default=0)
    trimming = f", {say(problem.trim)} trimmed off each end" if problem.trim else ""
    for index, part in enumerate(problem.parts):
        if not part.count:
            continue
        name = part.label or f"part {index + 1}"
        if part.length > longest:
            over = part.length - longest
            ways = [f"a board of at least {say(part.length + 2 * problem.trim)}"]
            if 0 < over <= 2 * problem.trim:
                ways.append(f"ends trimmed by {say(over)} less in all")
            ways += [f"a part shorter by {say(over)}", "two pieces joined end to end"]
            found.append(
                Diagnostic(
                    "board-too-short",
                    Severity.ERROR,
                    f"{name} is {say(part.length)} long; the longest board gives {say(longest)}{trimming}",
                    expected=f"at most {say(longest)}",
                    hint=_one_of(ways),
                )
            )
            continue
        found += _kerf_findings(problem, index, name, say)
    return found


def _kerf_findings(problem: BoardProblem, index: int, name: str, say: Callable[[int], str]) -> list[Diagnostic]:
    """Boards that would hold one more of a part if cuts took nothing."""
    part, kerf = problem.parts[index], problem.kerf
    found = []
    for stock, board in enumerate(problem.stock):
        room = problem.usable(stock)
        without = room // part.length if room > 0 else 0
        fits = (room + kerf) // (part.length + kerf) if room > 0 else 0
        if without <= fits or without < 2 or part.count < without or board.limit == 0:
            continue
        short = without * part.length + (without - 1) * kerf - room
        ways = [f"each part shorter by {say(-(-short // without))}"]
        if problem.trim and short <= 2 * problem.trim:
            ways.append(f"ends trimmed by {say(short)} less in all")
        ways.append(f"a longer board ({say(board.length + short)} would do)")
        thin = (room - without * part.length) // (without - 1)
        if thin > 0:
            ways.append(f"a saw cut of {say(thin)} or less")
        found.append(
            Diagnostic(
                "kerf-costs-a-part",
                Severity.NOTE,
                f"a board of {say(board.length)} gives {fits}, not {without}, of {name} ({say(part.length)}): "
                f"with {without - 1} saw cut{'s' * (without > 2)} of {say(kerf)} they are {say(short)} too long",
                hint=_one_of(ways),
            )
        )
    return found


def _one_of(ways: list[str]) -> str:
    return ", or ".join(ways)

"""What is measured, how, and the table it is printed in.

Everything is measured in processes of their own, one after another, in turns: each run measures every row once, in
the other order every second time, so that a busy moment of the machine meets a row and its reference alike.
"""

from __future__ import annotations

import json
import os
import statistics
import subprocess
import sys
import time
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path

from attrs import frozen
from rich.table import Table

from planpress.base.diagnostics import Severity
from planpress.base.printing import Units
from planpress.checks import check_plan
from planpress.description.reader import read_description
from planpress.description.records import Description
from planpress.model.solids import Solids
from planpress.model.solve import solve
from tests.benchmarks.recording import record
from tests.plans import HEAD, ROOT, seedling_stand

DEMO = "projects/seedling-stand"
PIECES = (20, 75, 150, 300)
BEARERS = 5
#: What "about linear" is taken to mean: cost of a piece in the plan over that in the smallest.
ABOUT_LINEAR = 1.5

Times = Mapping[str, Sequence[float]]  # name of a measurement -> seconds, one for each run


@frozen
class Row:
    """A line of the table.

    Attributes:
        what: what was measured. seconds: of each run.
        reference: what it is compared with, and reference_seconds: its seconds in the same runs; none if empty.
        most_seconds, most_ratio: the budget, each None if there is none.
    """

    what: str
    seconds: Sequence[float]
    reference: str = ""
    reference_seconds: Sequence[float] = ()
    most_seconds: float | None = None
    most_ratio: float | None = None

    @property
    def ratio(self) -> float | None:
        """Median over median of the reference; None without a reference."""
        if not self.reference_seconds:
            return None
        return statistics.median(self.seconds) / statistics.median(self.reference_seconds)

    @property
    def is_kept(self) -> bool | None:
        """True if the medians keep the budget; None if there is no budget."""
        verdicts = []
        if self.most_seconds is not None:
            verdicts.append(statistics.median(self.seconds) <= self.most_seconds)
        if self.most_ratio is not None and self.ratio is not None:
            verdicts.append(self.ratio <= self.most_ratio)
        return all(verdicts) if verdicts else None


# --- measuring ----------------------------------------------------------------------------------------------


def measure(folder: Path, runs: int, tell: Callable[[str], None]) -> dict[str, list[float]]:
    """Seconds of every measurement; files go to `folder`.

    Raises:
        subprocess.CalledProcessError: if a command fails.
    """
    out, recording = folder / "build", folder / "recording.json"
    python = [sys.executable]
    build = [*python, "-m", "planpress", "build", DEMO, "--out", str(out)]
    commands = {
        "build": build,
        "replay": [*python, "-m", "tests.benchmarks.recording", str(recording), str(folder / "replay.pdf")],
        "build two": [*build, "--units", "imperial", "--units", "metric"],
        "help": [*python, "-m", "planpress", "--help"],
        "pass": [*python, "-c", "pass"],
        "inside": [*python, "-c", "from tests.benchmarks import harness; harness.print_inside()"],
    }
    environment = {key: value for key, value in os.environ.items() if key != "PYTHONDONTWRITEBYTECODE"}
    environment["PYTHONPYCACHEPREFIX"] = str(folder / "bytecode")
    times: dict[str, list[float]] = {}
    for run in range(runs + 1):
        tell("warming up" if run == 0 else f"run {run} of {runs}")
        for name in commands if run % 2 == 0 else reversed(commands):
            if run == 0 and name == "replay":
                (pdf,) = out.glob("*/*/*.pdf")  # the warm-up build has just written it
                recording.write_text(json.dumps(record(pdf.read_bytes())), encoding="utf-8")
            start = time.perf_counter()
            done = subprocess.run(commands[name], cwd=ROOT, env=environment, check=True, capture_output=True)
            seconds = time.perf_counter() - start
            found = json.loads(done.stdout) if name == "inside" else {name: seconds}
            if run:
                for key, value in found.items():
                    times.setdefault(key, []).append(value)
    return times


def print_inside() -> None:
    """Measures solving and checking in this process and prints the seconds as JSON.

    A small plan goes first, so that imports and first uses are not counted. Nothing is measured twice: what a
    process keeps of an earlier plan cannot help.
    """
    _solved_and_checked(lattice(BEARERS + 3))
    times = {}
    for pieces in PIECES:
        times[f"lattice {pieces}"] = sum(_solved_and_checked(lattice(pieces)))
    times["solve"], times["check"] = _solved_and_checked(seedling_stand())
    print(json.dumps(times))


def _solved_and_checked(description: Description) -> tuple[float, float]:
    """Seconds for solving, and for solids and checks.

    Raises:
        ValueError: if the plan has an error, for then not all is measured.
    """
    start = time.perf_counter()
    plan = solve(description, Units.METRIC, "", {})
    solved = time.perf_counter()
    found = check_plan(plan, Solids(plan))
    end = time.perf_counter()
    if any(one.severity is Severity.ERROR for one in found):
        raise ValueError(f"the measured plan has an error: {found}")
    return solved - start, end - solved


def lattice(pieces: int) -> Description:
    """Slats cross-lapped on five bearers: `pieces` pieces of two kinds."""
    rows = pieces - BEARERS
    return read_description(
        HEAD
        + f"""
materials:
  stick: {{form: board, species: white oak, thickness: 20 mm, width: 40 mm}}
parts:
  slat:
    material: stick
    length: 1000 mm
    place: {{corner: [0 mm, row * 40 mm, 0 mm], length: +x, width: +z}}
    repeat: {{row: {rows}}}
  bearer:
    material: stick
    length: {40 * rows + 60} mm
    place: {{corner: [100 mm + i * 195 mm, -40 mm, 0 mm], length: +y, width: +z}}
    repeat: {{i: {BEARERS}}}
joints:
  lattice: {{kind: cross lap, between: [slat, bearer], glue: true}}
""",
        "lattice.yaml",
    )


# --- the table ----------------------------------------------------------------------------------------------


def rows(times: Times) -> list[Row]:
    """The lines of the table, from the seconds of each measurement as `measure` names them."""
    build, first = times["build"], times[f"lattice {PIECES[0]}"]
    more = [two - one for two, one in zip(times["build two"], build, strict=True)]
    return [
        Row("build the demo", build, "ReportLab alone, same pages", times["replay"], 2.0, 3.0),
        Row("one more edition in the same run", more, "build the demo", build, 0.8),
        Row("planpress --help", times["help"], "python -c pass", times["pass"], 0.25),
        *(
            Row(
                f"solve and check a lattice of {pieces}",
                times[f"lattice {pieces}"],
                f"{PIECES[0]} pieces × {pieces / PIECES[0]:g}",
                [one * pieces / PIECES[0] for one in first],
                most_ratio=ABOUT_LINEAR if pieces != PIECES[0] else None,
            )
            for pieces in PIECES
        ),
        Row("solve the demo", times["solve"]),
        Row("solids and check of the demo", times["check"]),
    ]


def table(lines: Sequence[Row], title: str = "") -> Table:
    """The table; times in seconds, those below 0.1 s in milliseconds."""
    out = Table(title=title or None)
    for heading in ("what", "median (min-max)", "reference in the same run", "ratio", "budget", ""):
        out.add_column(heading, justify="right" if heading in ("median (min-max)", "ratio", "budget") else "left")
    for line in lines:
        reference = f"{line.reference}: {_spread(line.reference_seconds)}" if line.reference_seconds else ""
        budget = [] if line.most_ratio is None else [f"{line.most_ratio:g}x"]
        budget += [] if line.most_seconds is None else [f"{line.most_seconds:g} s"]
        verdict = {True: "kept", False: "MISSED", None: ""}[line.is_kept]
        ratio = "" if line.ratio is None else f"{line.ratio:.2f}"
        out.add_row(line.what, _spread(line.seconds), reference, ratio, ", ".join(budget), verdict)
    return out


def _spread(seconds: Sequence[float]) -> str:
    values = (statistics.median(seconds), min(seconds), max(seconds))
    if abs(values[0]) < 0.1:
        middle, least, most = (f"{1000 * value:.1f}" for value in values)
        return f"{middle} ({least}-{most}) ms"
    middle, least, most = (f"{value:.2f}" for value in values)
    return f"{middle} ({least}-{most}) s"

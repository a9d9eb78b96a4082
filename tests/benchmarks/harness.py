"""What is measured, how, and the table it is printed in.

Everything is measured in processes of their own, one after another, in turns: each run measures every row once, in
the other order every second time, so that a busy moment of the machine meets a row and its reference alike. Shared
machines are busy at times: the least of several runs says most about the code, the median about the run.
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

from tests.benchmarks.recording import record
from tests.benchmarks.stages import PIECES, PLANS, STAGES
from tests.plans import ROOT

DEMO = "projects/seedling-stand"
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
    whole = {
        "build": build,
        "replay": [*python, "-m", "tests.benchmarks.recording", str(recording), str(folder / "replay.pdf")],
        "build two": [*build, "--units", "imperial", "--units", "metric"],
        "help": [*python, "-m", "planpress", "--help"],
        "pass": [*python, "-c", "pass"],
        "import typer": [*python, "-c", "import typer"],
    }
    inside = {name: [*python, "-m", "tests.benchmarks.stages", name] for name in ("demo", *PLANS)}
    environment = {key: value for key, value in os.environ.items() if key != "PYTHONDONTWRITEBYTECODE"}
    environment["PYTHONPYCACHEPREFIX"] = str(folder / "bytecode")
    times: dict[str, list[float]] = {}
    for run in range(runs + 1):
        tell("warming up" if run == 0 else f"run {run} of {runs}")
        commands = whole | inside if run else whole  # the stages warm up within their own process
        for name in commands if run % 2 == 0 else reversed(commands):
            if run == 0 and name == "replay":
                (pdf,) = out.glob("*/*/*.pdf")  # the warm-up build has just written it
                recording.write_text(json.dumps(record(pdf.read_bytes())), encoding="utf-8")
            start = time.perf_counter()
            done = subprocess.run(commands[name], cwd=ROOT, env=environment, check=True, capture_output=True)
            seconds = time.perf_counter() - start
            found = json.loads(done.stdout) if name in inside else {"": seconds}
            if run:
                for stage, value in found.items():
                    times.setdefault(f"{name} {stage}".strip(), []).append(value)
    return times


# --- the table ----------------------------------------------------------------------------------------------


def rows(times: Times) -> list[Row]:
    """The lines of the table, from the seconds of each measurement as `measure` names them."""
    build, typer = times["build"], times["import typer"]
    more = [two - one for two, one in zip(times["build two"], build, strict=True)]
    return [
        Row("build the demo", build, "ReportLab alone, same pages", times["replay"], 2.0, 3.0),
        Row("one more edition in the same run", more, "build the demo", build, 0.8),
        Row("planpress --help", times["help"], "python -c pass", times["pass"], 0.25),
        Row("planpress --help", times["help"], "python -c 'import typer'", typer),
        *growth(times, "rack", ("solve", "check", "compose")),
        *(_grown(times, f"... of which {stage}", "rack", PIECES[-1], (stage,)) for stage in STAGES),
        *growth(times, "lattice", ("solve", "check")),
        Row("solve the demo", times["demo solve"], "compose the demo", times["demo compose"]),
        Row("solids and checks of the demo", times["demo check"], "compose the demo", times["demo compose"]),
    ]


def growth(times: Times, kind: str, stages: Sequence[str]) -> list[Row]:
    """A row for each size of the plan `kind`: the stages' seconds against those of the smallest, times its pieces."""
    words = " and ".join([", ".join(stages[:-1]), stages[-1]])
    return [
        _grown(times, f"{words} a {kind} of {pieces}", kind, pieces, stages, ABOUT_LINEAR if k else None)
        for k, pieces in enumerate(PIECES)
    ]


def _grown(
    times: Times, what: str, kind: str, pieces: int, stages: Sequence[str], most_ratio: float | None = None
) -> Row:
    def seconds(size: int) -> list[float]:
        return [sum(run) for run in zip(*(times[f"{kind} {size} {stage}"] for stage in stages), strict=True)]

    share = pieces / PIECES[0]
    reference = [one * share for one in seconds(PIECES[0])]
    return Row(what, seconds(pieces), f"{PIECES[0]} pieces × {share:g}", reference, most_ratio=most_ratio)


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

"""Using planpress from Python: load a plan, solve it, check it, build its editions.

>>> import planpress
>>> plan = planpress.load("projects/seedling-stand")          # doctest: +SKIP
>>> plan.solve(settings={"top_length": "52 in"}).part("A").length           # doctest: +SKIP
Fraction(6604, 5)
>>> plan.build("build", units="metric", paper="a4").folder    # doctest: +SKIP
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeAlias

from attrs import frozen

from planpress import __version__
from planpress.app import files
from planpress.app.ahead import Ahead
from planpress.app.editions import EditionRequest, requests
from planpress.base.diagnostics import Diagnostic, Findings, PlanFaults, Severity, in_order
from planpress.base.edition import Edition
from planpress.base.printing import Units
from planpress.base.quantities import Quantity
from planpress.description.reader import read_description
from planpress.description.records import Description
from planpress.model.records import SolvedPlan
from planpress.model.solve import solve

if TYPE_CHECKING:
    from planpress.pages import Ready

#: What can be done of an edition before its pages: diagnostics and figures.
_Work: TypeAlias = "tuple[list[Diagnostic], Ready]"
Report = Callable[[str], None]


@frozen
class Built:
    """One edition on disk.

    Attributes:
        folder: where it is. plan_set: the PDF. files: names of all files, sorted. pages: number of pages.
        warnings: found on the way.
    """

    folder: Path
    plan_set: Path
    files: tuple[str, ...]
    pages: int
    warnings: tuple[Diagnostic, ...]


@frozen
class Plan:
    """A description that could be read.

    Attributes:
        path: its file. name: that of its folder (or file). warnings: what reading it was doubtful about.
    """

    path: Path
    name: str
    description: Description
    warnings: tuple[Diagnostic, ...] = ()

    def solve(
        self, units: str | Units = Units.IMPERIAL, size: str = "", settings: Mapping[str, str | Quantity] | None = None
    ) -> SolvedPlan:
        """The model of one edition: every number that would be printed.

        Args:
            units: "imperial" or "metric". size: name of one of the plan's sizes.
            settings: parameters, as {"top_length": "52 in"}.

        Raises:
            PlanFaults: with every fault found.
        """
        return solve(self.description, Units(units), size, settings or {})

    def check(
        self, units: str | Units = Units.IMPERIAL, size: str = "", settings: Mapping[str, str | Quantity] | None = None
    ) -> list[Diagnostic]:
        """Every fault, warning and note of one edition, sorted by place. Empty if there is nothing to say."""
        from planpress.checks import check_plan
        from planpress.model.solids import Solids

        try:
            solved = self.solve(units, size, settings)
        except PlanFaults as faults:
            return in_order([*self.warnings, *faults.diagnostics])
        return in_order([*self.warnings, *solved.warnings, *check_plan(solved, Solids(solved))])

    def build(
        self,
        out: str | Path = "build",
        *,
        units: str | Sequence[str] = (),
        paper: str | Sequence[str] = (),
        size: str | Sequence[str] = (),
        settings: Mapping[str, str] | None = None,
        report: Report | None = None,
        jobs: int = 1,
    ) -> list[Built]:
        """Write every edition asked for into `out/<plan>/<edition>/`.

        Args:
            units, paper, size: one name or several; every combination is built.
            settings: parameters, as {"top_length": "52 in"}.
            report: is told each stage in a few words.
            jobs: 2 or more: check and draw in processes beside this one, where the system can fork.

        Raises:
            PlanFaults: with every fault found; no edition is written then.
            ValueError: for an unknown unit system or paper.
        """
        wanted = requests(_several(units), _several(paper), _several(size), settings or {})
        tell = report or (lambda words: None)
        solved = [(request, self._solved(request, tell)) for request in wanted]
        texts = files.read_texts()
        # all children start now, before this process loads what does not like to be forked
        ready = [(request, plan, Ahead(_work(plan, request.edition()), jobs > 1)) for request, plan in solved]
        made = [(request, *self._contents(request, plan, ahead, texts, tell)) for request, plan, ahead in ready]
        return [self._written(Path(out), *one) for one in made]

    def _solved(self, request: EditionRequest, tell: Report) -> SolvedPlan:
        tell(f"{request.folder}: solving")
        return solve(self.description, request.units, request.size, dict(request.settings))

    def _contents(
        self, request: EditionRequest, solved: SolvedPlan, ahead: Ahead[_Work], texts: dict[str, str], tell: Report
    ) -> tuple[dict[str, bytes], int, list[Diagnostic]]:
        """All files of one edition by name, the number of pages, and what the checks found.

        Raises:
            PlanFaults: if the checks found an error.
        """
        tell(f"{request.folder}: checking and drawing")
        if not ahead.is_elsewhere:
            ahead.result()  # a plan with faults may not be drawable: checks come first
        from planpress.model.solids import Solids
        from planpress.pages import compose
        from planpress.writers.csv import parts_csv

        try:
            plan_set = compose(solved, request.edition(), Solids(solved), texts, lambda: ahead.result()[1])
        except (ValueError, LookupError, ArithmeticError):
            ahead.result()  # its faults, if it has any, say more
            raise
        found, _ = ahead.result()
        tell(f"{request.folder}: writing")
        stem = f"{self.name}-{request.folder}"
        content = {f"{stem}.pdf": plan_set.pdf, "parts.csv": parts_csv(solved)}
        content["edition.json"] = _edition_record(self, request, solved, plan_set, content)
        return content, plan_set.page_count, in_order([*self.warnings, *found])

    def _written(
        self, out: Path, request: EditionRequest, content: dict[str, bytes], pages: int, found: list[Diagnostic]
    ) -> Built:
        folder = out / self.name / request.folder
        files.write_folder(folder, content)
        pdf = next(name for name in content if name.endswith(".pdf"))
        return Built(folder, folder / pdf, tuple(sorted(content)), pages, tuple(found))


def _work(solved: SolvedPlan, edition: Edition) -> Callable[[], _Work]:
    return lambda: _checked_and_drawn(solved, edition)


def _checked_and_drawn(solved: SolvedPlan, edition: Edition) -> _Work:
    """What the checks say of an edition, and its figures that need no pages.

    Raises:
        PlanFaults: if one of the diagnostics is an error.
    """
    from planpress.checks import check_plan
    from planpress.model.solids import Solids

    solids = Solids(solved)
    found = in_order([*solved.warnings, *check_plan(solved, solids)])
    if any(d.severity is Severity.ERROR for d in found):
        raise PlanFaults(found)
    from planpress.pages import draw_ahead

    return found, draw_ahead(solved, edition, solids)


def load(path: str | Path) -> Plan:
    """Read a plan: a folder with `plan.yaml`, or the file itself.

    Raises:
        PlanFaults: with every fault of the description.
    """
    file = files.plan_path(path)
    text = files.read_plan(file)
    folder = file.resolve().parent.name
    name = folder if file.name == files.PLAN_FILE else file.stem
    findings = Findings()
    return Plan(file, name, read_description(text, str(file), findings), tuple(findings.items))


def _several(value: str | Sequence[str]) -> Sequence[str]:
    return [value] if isinstance(value, str) else list(value)


def _edition_record(
    plan: Plan, request: EditionRequest, solved: SolvedPlan, plan_set: Any, content: dict[str, bytes]
) -> bytes:
    """`edition.json`: values, versions, what a personal copy needs, and the sha256 of every other file."""
    record = {
        "plan": plan.name,
        "title": solved.description.title,
        "version": solved.description.version,
        "date": solved.description.date,
        "edition": request.folder,
        "units": request.units.value,
        "paper": request.paper,
        "size": request.size,
        "settings": dict(request.settings),
        "planpress": __version__,
        "values": {name: str(value) for name, value in solved.values.items()},
        "pages": plan_set.page_count,
        "content_id": plan_set.content_id,
        "stamp": plan_set.stamp_record(),
        "files": {name: hashlib.sha256(data).hexdigest() for name, data in sorted(content.items())},
    }
    return (json.dumps(record, indent=2, ensure_ascii=False) + "\n").encode()

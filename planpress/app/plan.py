"""Using planpress from Python: load a plan, solve it, check it, build its editions.

>>> import planpress
>>> plan = planpress.load("projects/seedling-stand")          # doctest: +SKIP
>>> plan.solve(settings={"top_length": "52 in"}).part("A").length           # doctest: +SKIP
Fraction(6604, 5)
>>> plan.build("build", units="metric", paper="a4").folder    # doctest: +SKIP
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path

from attrs import frozen

from planpress.app import files
from planpress.app.editions import EditionRequest, requests
from planpress.app.making import Made, Maker, Report, say_nothing
from planpress.base.diagnostics import Diagnostic, Findings, PlanFaults, in_order
from planpress.base.printing import Units
from planpress.base.quantities import Quantity
from planpress.description.reader import read_description
from planpress.description.records import Description
from planpress.model.records import SolvedPlan
from planpress.model.solve import solve


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
            jobs: how many processes may work at once, where the system can fork. Several editions are shared out over
                them; one alone is checked and drawn beside the process that makes its pages.

        Raises:
            PlanFaults: with every fault found; no edition is written then.
            ValueError: for an unknown unit system or paper.
        """
        wanted = requests(_several(units), _several(paper), _several(size), settings or {})
        maker = Maker(self.name, self.description, self.warnings, files.read_texts())
        made = maker.make(wanted, report or say_nothing, jobs)
        return [self._written(Path(out), request, one) for request, one in zip(wanted, made, strict=True)]

    def _written(self, out: Path, request: EditionRequest, made: Made) -> Built:
        folder = out / self.name / request.folder
        files.write_folder(folder, made.content)
        pdf = next(name for name in made.content if name.endswith(".pdf"))
        return Built(folder, folder / pdf, tuple(sorted(made.content)), made.pages, made.warnings)


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

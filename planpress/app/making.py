"""Making the files of editions, by one process or several side by side."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Mapping, Sequence
from functools import cache, partial
from typing import TYPE_CHECKING, TypeAlias

from attrs import frozen

from planpress import __version__
from planpress.app.ahead import Ahead, start_beside
from planpress.app.editions import EditionRequest
from planpress.base.diagnostics import Diagnostic, PlanFaults, Severity, in_order
from planpress.base.edition import Edition
from planpress.description.records import Description
from planpress.model.records import SolvedPlan
from planpress.model.solve import solve

if TYPE_CHECKING:
    from planpress.figures.ahead import Ready
    from planpress.figures.joint_details import JointDetail
    from planpress.model.solids import Solids
    from planpress.pages import PlanSet

#: What can be done of an edition before its pages: diagnostics and figures.
_Work: TypeAlias = "tuple[list[Diagnostic], Ready]"
Report = Callable[[str], None]


def say_nothing(words: str) -> None:
    """A report for nobody."""


@frozen
class Made:
    """The files of one edition by name, its number of pages, and what was found on the way."""

    content: Mapping[str, bytes]
    pages: int
    warnings: tuple[Diagnostic, ...]


@frozen
class Maker:
    """Makes editions of one plan.

    Attributes:
        name: of the plan. description: of it. warnings: of reading it. texts: of its pages, template name -> text.
    """

    name: str
    description: Description
    warnings: tuple[Diagnostic, ...]
    texts: Mapping[str, str]

    def make(self, wanted: Sequence[EditionRequest], report: Report, jobs: int) -> list[Made]:
        """The editions wanted, shared out over at most `jobs` processes; this one takes its share, and alone reports.

        Raises:
            PlanFaults: those of the first edition that has any.
        """
        count = max(1, min(jobs, len(wanted)))
        drawn_beside = jobs >= 2 * count  # then each edition may have a second process of its own
        shares = [partial(self._share, wanted[k::count], drawn_beside) for k in range(count)]
        others = [Ahead(share) for share in shares[1:]]
        for other in others:  # before this process loads what does not like to be forked
            start_beside(other)
        outcomes = [shares[0](report), *(other.result() for other in others)]
        made = []
        for k in range(len(wanted)):
            outcome = outcomes[k % count][k // count]  # a share that ends early ends with faults
            if isinstance(outcome, PlanFaults):
                raise outcome
            made.append(outcome)
        return made

    def _share(
        self, wanted: Sequence[EditionRequest], drawn_beside: bool, report: Report = say_nothing
    ) -> list[Made | PlanFaults]:
        """Editions made one after the other; the first that has faults is the last, and gives them."""
        out: list[Made | PlanFaults] = []
        try:
            for request in wanted:
                out.append(self._edition(request, drawn_beside, report))
        except PlanFaults as faults:
            out.append(faults)
        return out

    def _edition(self, request: EditionRequest, drawn_beside: bool, report: Report) -> Made:
        """One edition, solved, checked and drawn in a second process if `drawn_beside`.

        Raises:
            PlanFaults: with every fault found.
        """
        report(f"{request.folder}: solving")
        solving = Ahead(lambda: solve(self.description, request.units, request.size, dict(request.settings)))
        solids = cache(lambda: _solids(solving.result()))  # one for both of the next, where they are done
        drawing = Ahead(lambda: _checked_and_drawn(solving.result(), request.edition(), solids()))
        detailing = Ahead(lambda: _joints_drawn(solving.result(), request.edition(), solids()))
        is_beside = drawn_beside and start_beside(solving, drawing, detailing)
        if is_beside:
            import planpress.pages  # noqa: F401 (slow to load: now, while the other process solves)
        solved = solving.result()
        report(f"{request.folder}: checking and drawing")
        if not is_beside:
            drawing.result()  # a plan with faults may not be drawable: checks come first
        from planpress.figures.ahead import FiguresAhead
        from planpress.pages import compose
        from planpress.writers.csv import parts_csv

        ahead = FiguresAhead(lambda: drawing.result()[1], detailing.result)
        try:
            plan_set = compose(solved, request.edition(), solids(), self.texts, ahead)
        except (ValueError, LookupError, ArithmeticError):
            drawing.result()  # its faults, if it has any, say more
            raise
        found, _ = drawing.result()
        report(f"{request.folder}: writing")
        stem = f"{self.name}-{request.folder}"
        content = {f"{stem}.pdf": plan_set.pdf, "parts.csv": parts_csv(solved)}
        content["edition.json"] = self._record(request, solved, plan_set, content)
        return Made(content, plan_set.page_count, tuple(in_order([*self.warnings, *found])))

    def _record(
        self, request: EditionRequest, solved: SolvedPlan, plan_set: PlanSet, content: Mapping[str, bytes]
    ) -> bytes:
        """`edition.json`: values, versions, what a personal copy needs, and the sha256 of every other file."""
        record = {
            "plan": self.name,
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


def _solids(solved: SolvedPlan) -> Solids:
    from planpress.model.solids import Solids

    return Solids(solved)


def _joints_drawn(solved: SolvedPlan, edition: Edition, solids: Solids) -> tuple[JointDetail, ...]:
    from planpress.figures.joint_details import joint_details
    from planpress.writers.pdf.fonts import Metrics

    return joint_details(solved, solids, edition, Metrics())


def _checked_and_drawn(solved: SolvedPlan, edition: Edition, solids: Solids) -> _Work:
    """What the checks say of an edition, and its figures that need no pages.

    Raises:
        PlanFaults: if one of the diagnostics is an error.
    """
    from planpress.checks import check_plan

    found = in_order([*solved.warnings, *check_plan(solved, solids)])
    if any(d.severity is Severity.ERROR for d in found):
        raise PlanFaults(found)
    from planpress.figures.ahead import draw_ahead
    from planpress.writers.pdf.fonts import Metrics

    return found, draw_ahead(solved, edition, Metrics())

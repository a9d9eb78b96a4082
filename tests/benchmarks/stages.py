"""Solving, checking and composing one plan, each timed in this process.

    python -m tests.benchmarks.stages NAME

measures the plan of that name in a process of its own and prints the seconds of each stage as JSON. A small plan goes
first, so that imports and first uses are not counted; nothing is measured twice, so that what a process keeps of an
earlier plan cannot help.
"""

from __future__ import annotations

import functools
import gc
import json
import sys
import time
from collections.abc import Callable, Mapping

from planpress.app.files import read_texts
from planpress.base.diagnostics import Severity
from planpress.base.edition import Edition
from planpress.base.printing import Units
from planpress.checks import check_plan
from planpress.description.reader import read_description
from planpress.description.records import Description
from planpress.model.solids import Solids
from planpress.model.solve import solve
from planpress.pages import compose
from tests.plans import HEAD, seedling_stand

#: Sizes of the two plans that grow.
PIECES = (20, 80, 160, 300)
BEARERS = 5
#: Pieces of a tier of the rack, and for each size the tiers of a stack and the stacks.
TIER = 20
RACKS = {20: (1, 1), 80: (4, 1), 160: (4, 2), 300: (5, 3)}
STAGES = ("solve", "check", "compose")

STICKS = """
materials:
  stick: {form: board, species: white oak, thickness: 20 mm, width: 40 mm}
joints:
  lattice: {kind: cross lap, between: [slat, bearer], glue: true}
"""


def lattice(pieces: int) -> Description:
    """Slats cross-lapped on five bearers: `pieces` pieces of two kinds. A bearer's notches grow with the plan."""
    rows = pieces - BEARERS
    return read_description(
        f"""{HEAD}{STICKS}
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
""",
        "lattice.yaml",
    )


def rack(pieces: int) -> Description:
    """Slats on bearers in tiers, in stacks side by side: more pieces, but of the same two parts.

    Raises:
        KeyError: if `RACKS` has no rack of so many pieces.
    """
    tiers, stacks = RACKS[pieces]
    rows = TIER - BEARERS
    return read_description(
        f"""{HEAD}{STICKS}
parts:
  slat:
    material: stick
    length: 1000 mm
    place: {{corner: [stack * 1200 mm, row * 40 mm, tier * 120 mm], length: +x, width: +z}}
    repeat: {{row: {rows}, tier: {tiers}, stack: {stacks}}}
  bearer:
    material: stick
    length: {40 * rows + 60} mm
    place: {{corner: [stack * 1200 mm + 100 mm + i * 195 mm, -40 mm, tier * 120 mm], length: +y, width: +z}}
    repeat: {{i: {BEARERS}, tier: {tiers}, stack: {stacks}}}
""",
        "rack.yaml",
    )


PLANS: Mapping[str, Callable[[], Description]] = {
    **{f"lattice {pieces}": functools.partial(lattice, pieces) for pieces in PIECES},
    **{f"rack {pieces}": functools.partial(rack, pieces) for pieces in PIECES},
}


def measured(description: Description, is_composed: bool = True) -> dict[str, float]:
    """Seconds of each of `STAGES`; "check" includes making the solids.

    Raises:
        ValueError: if the plan has an error, for then not all is measured.
    """
    texts = read_texts()
    start = time.perf_counter()
    plan = solve(description, Units.METRIC, "", {})
    solved = time.perf_counter()
    solids = Solids(plan)
    found = check_plan(plan, solids)
    checked = time.perf_counter()
    if any(one.severity is Severity.ERROR for one in found):
        raise ValueError(f"the measured plan has an error: {found}")
    seconds = {"solve": solved - start, "check": checked - solved}
    if is_composed:
        compose(plan, Edition(Units.METRIC, "a4"), solids, texts)
        seconds["compose"] = time.perf_counter() - checked
    return seconds


def main() -> None:
    """Measure the plan named on the command line."""
    name = sys.argv[1]
    gc.disable()  # as the commands do
    measured(lattice(BEARERS + 3))
    description = seedling_stand() if name == "demo" else PLANS[name]()
    print(json.dumps(measured(description, is_composed=not name.startswith("lattice"))))


if __name__ == "__main__":
    main()

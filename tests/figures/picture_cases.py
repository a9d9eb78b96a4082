"""Plans for tests of pictures, and how to read a finished figure with shapely as the judge."""

from __future__ import annotations

import functools
from collections.abc import Sequence

from attrs import frozen
from shapely.geometry import LineString, Point, Polygon
from shapely.ops import unary_union

from planpress.base.display import Circle, Figure, Item, Path, Role, Text, points_of
from planpress.base.printing import Units
from planpress.figures.exploded import exploded
from planpress.figures.scenes import Scenes
from planpress.model.records import SolvedPlan
from planpress.model.solids import Solids
from tests.plans import small_plan, solved_stand

STOOL = """\
parameters:
  long:  {value: 16 in, metric: 400 mm, range: [10 in, 30 in]}
  deep:  {value: 8 in, metric: 200 mm, range: [6 in, 12 in]}
  high:  {value: 9 in, metric: 230 mm, range: [6 in, 20 in]}
  board: {value: 3/4 in, metric: 18 mm, range: [1/2 in, 1 in], measured: true}
  rail:  {value: 3 in, metric: 76 mm, range: [2 in, 4 in]}
materials:
  wide:
    form: board
    species: white oak
    thickness: board
    width: deep
    sold_as: {imperial: "1x8", metric: "18 × 200 planed"}
    lengths: {imperial: [6 ft], metric: [1800 mm]}
  narrow:
    form: board
    species: white oak
    thickness: board
    width: rail
    sold_as: {imperial: "1x3", metric: "18 × 76 planed"}
    lengths: {imperial: [6 ft], metric: [1800 mm]}
parts:
  seat:
    material: wide
    length: long
    place: {corner: ["0 in", "0 in", high - board], length: +x, width: +y}
  side:
    material: wide
    length: high - board
    place: {corner: [1 in + i * (long - 2 in - board), "0 in", "0 in"], length: +z, width: +y}
    repeat: {i: 2}
  stretcher:
    material: narrow
    length: long - 2 in - 2 * board
    place: {corner: [1 in + board, deep / 2 - board / 2, high - board - rail], length: +x, width: +z}
joints:
  seat_on_sides:
    kind: screw
    through: seat
    into: side
    gauge: 8
    metric_diameter: 4 mm
    length: 2 in
    head: countersunk
    count: 4
    material: steel
  ends:
    kind: dowel
    through: side
    into: stretcher
    diameter: {imperial: 1/4 in, metric: 6 mm}
    depth: {imperial: 1 in, metric: 25 mm}
    count: 2
    glue: true
"""

CASES = ("inches", "millimetres", "balcony", "wide", "low", "stool")


@frozen(eq=False)
class Case:
    """One solved plan with what its pictures share."""

    plan: SolvedPlan
    solids: Solids
    scenes: Scenes


@functools.cache
def case(name: str) -> Case:
    """One of CASES."""
    plans = {
        "inches": lambda: solved_stand(),
        "millimetres": lambda: solved_stand(Units.METRIC),
        "balcony": lambda: solved_stand(Units.METRIC, "balcony"),
        "wide": lambda: solved_stand(Units.IMPERIAL, top_length="52 in", slats="13", gap="1/2 in"),
        "low": lambda: solved_stand(Units.IMPERIAL, height="20 in", bearers="4", slats="7", splay="10 deg"),
        "stool": lambda: small_plan(STOOL),
    }
    plan = plans[name]()
    solids = Solids(plan)
    return Case(plan, solids, Scenes(plan, solids))


@functools.cache
def exploded_figure(name: str) -> Figure:
    """The exploded view of a case at its usual size."""
    one = case(name)
    return exploded(one.plan, one.solids, one.scenes)


def of_role(items: Sequence[Item], role: Role) -> list[Item]:
    """The items of a role."""
    return [item for item in items if item.role is role]


def straight(items: Sequence[Item]) -> list[LineString]:
    """Lines of the items that are paths of two points."""
    return [LineString(points_of(item.segments)) for item in items if isinstance(item, Path)]


def seen_area(figure: Figure, sources: Sequence[str]) -> Polygon:
    """Everything that is seen of the pieces with these ids: the union of their tints."""
    areas = []
    for item in figure.items:
        if isinstance(item, Path) and item.role is Role.TINT and item.source in sources:
            shape = Polygon()
            for loop in loops_of(item):
                shape = shape.symmetric_difference(Polygon(loop).buffer(0))  # the even-odd rule
            areas.append(shape)
    return unary_union(areas)


def loops_of(item: Path) -> list[list[tuple[float, float]]]:
    """Closed loops of a path of straight lines."""
    loops: list[list[tuple[float, float]]] = []
    for segment in item.segments:
        if segment[0] == "m":
            loops.append([(segment[1], segment[2])])
        elif segment[0] == "l":
            loops[-1].append((segment[1], segment[2]))
    return loops


def balloon_centres(figure: Figure) -> dict[str, list[Point]]:
    """Centres of the balloons by letter."""
    out: dict[str, list[Point]] = {}
    for item in of_role(figure.items, Role.BALLOON):
        if isinstance(item, Circle):
            centre = Point(item.centre)
        else:
            assert isinstance(item, Path)
            centre = Polygon(points_of(item.segments)).centroid
        out.setdefault(item.source, []).append(centre)
    return out


def dots(figure: Figure) -> dict[str, Point]:
    """Dots of the leaders by letter."""
    return {item.source: Point(item.centre) for item in of_role(figure.items, Role.LEADER) if isinstance(item, Circle)}


def texts(figure: Figure) -> list[Text]:
    """The texts of a figure."""
    return [item for item in figure.items if isinstance(item, Text)]


def names_of(one: Case, letter: str) -> list[str]:
    """Ids of the pieces or fasteners of a letter."""
    return [name for name in (*one.plan.pieces, *one.scenes.fasteners) if one.scenes.letter(name) == letter]


def letters_of(one: Case) -> list[str]:
    """All letters of a plan, fasteners last."""
    return [part.letter for part in one.plan.parts] + [f.letter for f in one.plan.fasteners]

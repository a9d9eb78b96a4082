"""What pictures of one plan share: the shape of every piece and fastener, and what hides what from each direction."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from functools import cached_property
from typing import Protocol, TypeAlias

import numpy as np
from attrs import evolve, frozen

from planpress.figures.shared_shapes import Made, standing
from planpress.geometry.mesh import Floats
from planpress.geometry.occlusion import find_covers
from planpress.geometry.pictures import Picture, Scene, visible_ranges
from planpress.geometry.regions import Regions, regions
from planpress.geometry.revolve import SEGMENTS
from planpress.geometry.shapes import Shape
from planpress.geometry.solids import OVERSHOOT, Solid, rod
from planpress.geometry.vectors import Frame, floats
from planpress.geometry.views import PICTURE_AZIMUTH, PICTURE_ELEVATION, view_matrix
from planpress.model.records import Fastener, FastenerPlace, SolvedPlan

Offset: TypeAlias = tuple[float, float, float]
Profile: TypeAlias = tuple[tuple[float, float], ...]
AT_REST: Offset = (0.0, 0.0, 0.0)
#: Corners of a circle in pictures: a screw is about a millimetre wide on paper.
PICTURE_SEGMENTS = 12
# A fastener in its place is drawn this much (mm) larger in radius, so that no sliver of its hole shows beside it.
_FILL = 0.05
_TURN_OVER = np.diag([1.0, -1.0, -1.0])


class PieceSolids(Protocol):
    """Gives the finished solid of a piece, where it stands in the world."""

    def piece(self, name: str, /) -> Solid:
        """The solid of the piece with this id."""
        ...


@frozen
class View:
    """A direction of view.

    Attributes:
        azimuth, elevation: degrees, see `geometry.views.view_matrix`.
        turned_over: the work lies upside down, turned about its length; left stays left.
    """

    azimuth: float = PICTURE_AZIMUTH
    elevation: float = PICTURE_ELEVATION
    turned_over: bool = False

    @property
    def turn(self) -> Floats:
        """(3, 3) the work's axes as they lie now: `turn @ direction`."""
        return _TURN_OVER if self.turned_over else np.eye(3)

    @cached_property
    def matrix(self) -> Floats:
        """Rows right, up, toward the viewer (3, 3), in the axes of the work."""
        matrix: Floats = view_matrix(self.azimuth, self.elevation) @ self.turn
        return matrix


FRONT_LEFT = View()


@frozen
class Placed:
    """A piece or fastener as it stands in a picture: its id, and how far it is moved (mm, world) from its place."""

    id: str
    offset: Offset = AT_REST


@frozen(eq=False)
class Sight:
    """Some things seen one way, at true size: which they are, their lines and the visible part of each face."""

    view: View
    placed: tuple[Placed, ...]
    scene: Scene
    picture: Picture
    regions: Regions

    def in_sight(self, ways: Sequence[tuple[Sequence[float], Sequence[float]]]) -> list[list[tuple[float, float]]]:
        """For each straight way through space (its ends, mm) the shares of it that no piece hides."""
        if not ways:
            return []
        points = np.array(ways, dtype=np.float64) @ self.view.matrix.T
        seen = evolve(
            self.scene.seen,
            starts=np.ascontiguousarray(points[:, 0]),
            ends=np.ascontiguousarray(points[:, 1]),
            edge_piece=np.zeros(len(points), dtype=np.intp),
        )
        way, low, high = visible_ranges(seen, find_covers(seen), np.zeros(0, dtype=np.intp))
        out: list[list[tuple[float, float]]] = [[] for _ in ways]
        for number, a, b in zip(way.tolist(), low.tolist(), high.tolist(), strict=True):
            out[number].append((a, b))
        return out


class Scenes:
    """Shapes and scenes of one plan, made when first asked for and kept."""

    def __init__(self, plan: SolvedPlan, solids: PieceSolids) -> None:
        self.plan = plan
        self._solids = solids
        self._shapes: dict[tuple[str, tuple[str, ...]], Shape] = {}
        self._rods: dict[tuple[Profile, Offset], Shape] = {}
        self._mouths: dict[str, tuple[float, float]] = {}
        self._made: dict[str, list[Made]] = {}
        self._sights: dict[tuple[View, tuple[Placed, ...]], Sight] = {}

    @cached_property
    def fasteners(self) -> Mapping[str, tuple[Fastener, FastenerPlace]]:
        """Every screw and dowel by its id: letter and number, counted from 0 ("H[2]")."""
        return {
            f"{fastener.letter}[{number}]": (fastener, place)
            for fastener in self.plan.fasteners
            for number, place in enumerate(fastener.places)
        }

    def letter(self, name: str) -> str:
        """The letter of a piece or fastener."""
        if name in self.fasteners:
            return self.fasteners[name][0].letter
        return self.plan.pieces[name].letter

    def is_fastener(self, name: str) -> bool:
        """True for the id of a screw or dowel."""
        return name in self.fasteners

    def fastener_solid(self, name: str) -> Solid:
        """The solid of a screw or dowel in its place."""
        fastener, place = self.fasteners[name]
        return rod(_profile(fastener), floats(place.head), floats(place.direction), segments=PICTURE_SEGMENTS)

    def profile(self, name: str) -> Profile:
        """Depth and radius (mm) along a screw or dowel from its head."""
        return _profile(self.fasteners[name][0])

    def seated_profile(self, name: str, overshoot: float = 0.0) -> Profile:
        """What shows of a fastener in its place: a cylinder at its outer end that covers the mouth of its hole.

        Only its end can be seen. The true cone of a head would nearly touch the countersink, which no picture stands.
        As the cutter that makes room for it, it reaches out of the wood by `overshoot` mm.
        """
        if name not in self._mouths:
            fastener, place = self.fasteners[name]
            piece = self.plan.pieces[place.first]
            holes = (*self.plan.part(piece.letter).holes, *piece.in_place_holes)
            mouths = [max(hole.diameter, hole.sink_diameter) for hole in holes if hole.joint == fastener.joint]
            widest = float(max([fastener.diameter, fastener.head_diameter, *mouths])) / 2
            radius = widest / math.cos(math.pi / SEGMENTS) + _FILL  # all of a polygon outside the hole
            length = float(fastener.length)
            self._mouths[name] = (radius, length if fastener.kind == "dowel" else min(radius + 1.0, length / 2))
        radius, depth = self._mouths[name]
        return ((-overshoot, radius), (depth, radius))

    def shape(self, name: str, seated: tuple[str, ...] = ()) -> Shape:
        """The shape of a piece or fastener.

        Args:
            seated: for a piece: the fasteners that stand in it, whose room is taken out of it. For a fastener: itself,
                if it stands in its place.
        """
        key = (name, seated)
        if key not in self._shapes:
            fastened = name in self.fasteners
            self._shapes[key] = self._fastener_shape(name, bool(seated)) if fastened else self._piece(name, seated)
        return self._shapes[key]

    def _piece(self, name: str, seated: tuple[str, ...]) -> Shape:
        piece = self.plan.pieces[name]
        solid = self._solids.piece(name)
        for fastener in seated:
            place = self.fasteners[fastener][1]
            cutter = self.seated_profile(fastener, OVERSHOOT)
            solid = solid.minus(rod(cutter, floats(place.head), floats(place.direction), segments=SEGMENTS))
        mesh = solid.mesh()
        if seated:
            return Shape(mesh)
        made = self._made.setdefault(piece.letter, [])
        for one in made:
            if one.is_like(mesh, piece.frame):
                return one.standing(piece.frame)
        made.append(Made(Shape(mesh), mesh, piece.frame))
        return made[-1].shape

    def _fastener_shape(self, name: str, seated: bool) -> Shape:
        """Fasteners of one kind that point one way differ by their place alone."""
        fastener, place = self.fasteners[name]
        profile, segments = (self.seated_profile(name), SEGMENTS) if seated else (_profile(fastener), PICTURE_SEGMENTS)
        key = (profile, floats(place.direction))
        if key not in self._rods:
            self._rods[key] = Shape(rod(profile, (0.0, 0.0, 0.0), key[1], segments=segments).mesh())
        return standing(self._rods[key], Frame(), Frame(place.head))

    def sight(self, view: View, placed: Sequence[Placed]) -> Sight:
        """Things seen one way. Where pieces share an edge the line belongs to the one named first."""
        key = (view, tuple(placed))
        if key not in self._sights:
            scene = self._scene(view, key[1])
            picture = scene.picture()
            self._sights[key] = Sight(view, key[1], scene, picture, regions(picture))
        return self._sights[key]

    def kept(self) -> list[Sight]:
        """Everything that has been looked at so far; a sight with bridged regions shows pieces that overlap."""
        return list(self._sights.values())

    def _scene(self, view: View, placed: tuple[Placed, ...]) -> Scene:
        stood = {p.id: p.offset for p in placed}
        seated: dict[str, tuple[str, ...]] = {}
        for name, offset in stood.items():
            if name in self.fasteners:
                place = self.fasteners[name][1]
                pieces = [piece for piece in (place.first, place.second) if stood.get(piece) == offset]
                for thing in (*pieces, name) if pieces else ():
                    seated[thing] = (*seated.get(thing, ()), name)
        shapes = [self.shape(p.id, seated.get(p.id, ())) for p in placed]
        return Scene(shapes, view.matrix, [p.offset for p in placed])


def _profile(fastener: Fastener) -> Profile:
    """Depth and radius (mm) along a fastener from its head."""
    radius, length = float(fastener.diameter) / 2, float(fastener.length)
    if fastener.kind == "dowel":
        return ((0.0, radius), (length, radius))
    head = max(float(fastener.head_diameter) / 2, 1.2 * radius)
    angle = float(fastener.head_angle) or 90.0
    cone = min((head - radius) / math.tan(math.radians(angle) / 2), length / 3)
    point = min(3 * radius, length / 3)
    return ((0.0, head), (cone, radius), (length - point, radius), (length, 0.0))

"""What a rule gets to look at, and how it tells what it found."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from typing import TypeAlias

import numpy as np
from attrs import define, evolve, field

from planpress.base.diagnostics import Diagnostic, Place, Severity
from planpress.base.edition import Edition
from planpress.description import records as described
from planpress.geometry.mesh import Floats
from planpress.geometry.vectors import Vec, floats
from planpress.model.records import Part, SolvedPlan
from planpress.model.solids import Solids
from planpress.work.saying import Say

Found: TypeAlias = Iterable[Diagnostic]


@define
class Checking:
    """A solved plan under examination. Rules share it; it keeps what they look up often."""

    plan: SolvedPlan
    solids: Solids
    say: Say = field(init=False)
    _joints: dict[str, described.Joint] = field(init=False)
    _parts: dict[str, described.Part] = field(init=False)
    _frames: dict[str, tuple[Floats, Floats]] = field(factory=dict)
    _local_corners: dict[str, Floats] = field(factory=dict)

    def __attrs_post_init__(self) -> None:
        self.say = Say(Edition(self.plan.units, "letter"))
        self._joints = {joint.name: joint for joint in self.plan.description.joints}
        self._parts = {part.name: part for part in self.plan.description.parts}

    def joint(self, name: str) -> described.Joint | None:
        """The joint as the maker described it."""
        return self._joints.get(name)

    def joint_place(self, name: str) -> Place | None:
        """Where the maker described a joint."""
        joint = self._joints.get(name)
        return joint.place if joint else None

    def part_place(self, part: Part | str) -> Place | None:
        """Where the maker described a part (a solved part, or its name)."""
        record = self._parts.get(part if isinstance(part, str) else part.name)
        return record.place if record else None

    def frame(self, piece: str) -> tuple[Floats, Floats]:
        """Origin (3,) in mm and axes (3, 3; rows u, v, w) of a piece in the world."""
        if piece not in self._frames:
            frame = self.plan.pieces[piece].frame
            axes = np.array([floats(frame.x), floats(frame.y), floats(frame.z)])
            self._frames[piece] = (np.array(floats(frame.origin)), axes)
        return self._frames[piece]

    def corners(self, piece: str) -> Floats:
        """The eight corners (8, 3) of a piece, without its notches, in the world, mm."""
        letter = self.plan.pieces[piece].letter
        if letter not in self._local_corners:
            self._local_corners[letter] = np.array([floats(c) for c in self.plan.part(letter).corners])
        origin, axes = self.frame(piece)
        out: Floats = self._local_corners[letter] @ axes + origin
        return out

    def extent(self, piece: str, way: Vec) -> tuple[float, float]:
        """Least and greatest place (mm) of a piece along a unit direction of the world."""
        reach = self.corners(piece) @ np.array(floats(way))
        return float(reach.min()), float(reach.max())

    def local(self, piece: str, world: Floats) -> Floats:
        """Points (n, 3) of the world in a piece's coordinates, mm."""
        origin, axes = self.frame(piece)
        out: Floats = (world - origin) @ axes.T
        return out

    def is_glued(self, joint: str) -> bool:
        """True if the joint is described as glued."""
        record = self._joints.get(joint)
        return record is not None and not isinstance(record, described.ScrewJoint) and record.glue

    def assembly_label(self, assembly: tuple[str, int]) -> str:
        """An assembly as the reader sees it, in lower case."""
        found = next((g.label for g in self.plan.assemblies if (g.name, g.index) == assembly), assembly[0])
        return found[:1].lower() + found[1:]

    def called(self, part: Part) -> str:
        """A part for a message: its letter and the maker's own name."""
        return f"part {part.letter} ('{part.name}')"


Rule: TypeAlias = Callable[[Checking], Found]


def error(code: str, message: str, place: Place | None = None, expected: str = "", hint: str = "") -> Diagnostic:
    """A fault that stops the release."""
    return Diagnostic(code, Severity.ERROR, message, place, expected, hint)


def warning(code: str, message: str, place: Place | None = None, expected: str = "", hint: str = "") -> Diagnostic:
    """Something the maker should look at."""
    return Diagnostic(code, Severity.WARNING, message, place, expected, hint)


def note(code: str, message: str, place: Place | None = None, expected: str = "", hint: str = "") -> Diagnostic:
    """Something worth knowing."""
    return Diagnostic(code, Severity.NOTE, message, place, expected, hint)


def and_others(count: int) -> str:
    """ " (and 3 more places like it)", "" for none."""
    if count < 1:
        return ""
    return f" (and {count} more {'place' if count == 1 else 'places'} like it)"


def listed_once(items: Sequence[tuple[str, Diagnostic]]) -> list[Diagnostic]:
    """One diagnostic for each key, the first, telling how many more there are."""
    first: dict[str, Diagnostic] = {}
    count: dict[str, int] = {}
    for key, item in items:
        first.setdefault(key, item)
        count[key] = count.get(key, 0) + 1
    return [evolve(item, message=item.message + and_others(count[key] - 1)) for key, item in first.items()]

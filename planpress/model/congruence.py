"""Which pieces are one part: congruent by turning, and which are mirror images.

A stick can be turned in four ways (eight if its section is square) so that its length stays its length; the mirrored
ways tell handed pairs. Two pieces are one part if some turning gives equal sizes, ends, notches and holes.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator
from fractions import Fraction
from typing import TypeAlias

from attrs import evolve, frozen

from planpress.geometry.vectors import SAME, Frame, Vec, add, neg, scale
from planpress.model.blanks import Blank, EndPlane, RawNotch
from planpress.model.records import Hole, Side
from planpress.model.shape_moves import moved_shape, shape_marks

Signature: TypeAlias = tuple[object, ...]
_STEP = 1e4  # compared to a ten-thousandth of a millimetre
_OFF = 0.317  # keeps the usual sizes away from the borders between two steps


@frozen
class Turning:
    """A way to lay the same stick: reversed along u, width and thickness swapped, reversed along v, along w (after
    the swap)."""

    flip_u: bool = False
    swap: bool = False
    flip_v: bool = False
    flip_w: bool = False

    @property
    def mirrors(self) -> bool:
        """True if it is no turning but a mirroring."""
        return (self.flip_u + self.swap + self.flip_v + self.flip_w) % 2 == 1

    def point(self, p: Vec, sizes: tuple[Fraction, Fraction, Fraction]) -> Vec:
        """The new coordinates of a point; sizes are the old length, width, thickness."""
        length, width, thickness = sizes
        u, v, w = p
        if self.swap:
            v, w, width, thickness = w, v, thickness, width
        return (
            length - u if self.flip_u else u,
            width - v if self.flip_v else v,
            thickness - w if self.flip_w else w,
        )

    def direction(self, d: Vec) -> Vec:
        """The new components of a direction."""
        u, v, w = d
        if self.swap:
            v, w = w, v
        return (-u if self.flip_u else u, -v if self.flip_v else v, -w if self.flip_w else w)

    def side(self, side: Side) -> Side:
        """The new name of a side."""
        unit = [Fraction(0)] * 3
        unit[side.axis] = Fraction(1 if side.is_far else -1)
        turned = self.direction((unit[0], unit[1], unit[2]))
        axis = next(i for i in range(3) if turned[i] != 0)
        return next(s for s in Side if s.axis == axis and s.is_far == (turned[axis] > 0))


def turnings(square: bool, mirroring: bool) -> Iterator[Turning]:
    """All turnings (or all mirrorings) that keep the length; `square` if width equals thickness. The identity comes
    first."""
    for flip_u, swap, flip_v, flip_w in itertools.product((False, True), repeat=4):
        turning = Turning(flip_u, swap, flip_v, flip_w)
        if turning.mirrors == mirroring and (square or not swap):
            yield turning


def is_square(blank: Blank) -> bool:
    """True if width and thickness are the same."""
    return abs(blank.width - blank.thickness) <= SAME


def _step(value: Fraction) -> int:
    return math.floor(float(value) * _STEP + _OFF)


def signature(blank: Blank, turning: Turning) -> Signature:
    """What a blank looks like, in the coordinates of a turning: equal for congruent pieces. Holes drilled in place
    do not count."""
    sizes = blank.sizes
    turned_sizes = (sizes[0], sizes[2], sizes[1]) if turning.swap else sizes

    def steps(p: Vec) -> tuple[int, ...]:
        return tuple(_step(c) for c in turning.point(p, sizes))

    corners = sorted(steps(blank.local_corner(*key)) for key in itertools.product((0, 1), repeat=3))
    notches = sorted(_looks(n, turning, sizes) for n in blank.notches)
    holes = sorted(
        (
            turning.side(h.side).value,
            steps(hole_point(h, sizes)),
            tuple(_step(c) for c in turning.direction(h.direction)),
            _step(h.diameter),
            -1 if h.depth is None else _step(h.depth),
            _step(h.sink_diameter),
            _step(h.sink_depth),
        )
        for h in blank.holes
        if not h.in_place
    )
    return (
        tuple(_step(s) for s in turned_sizes),
        tuple(corners),
        tuple(notches),
        tuple(holes),
        ()
        if blank.shape is None
        else shape_marks(moved_shape(blank.shape, lambda p: turning.point(p, sizes), turning.side), _step),
    )


def _looks(notch: RawNotch, turning: Turning, sizes: tuple[Fraction, Fraction, Fraction]) -> Signature:
    """A notch in the coordinates of a turning; one cut through the part is the same from either side."""
    axis, depth, points, way = notch.side.axis, notch.start + notch.depth, notch.outline, notch.direction
    through = not notch.start and depth >= sizes[axis] - SAME
    if through:
        step = _axis(axis) if way is None else scale(way, 1 / abs(way[axis]))
        if notch.side.is_far and way is None:
            step = neg(step)
        points = (*points, *(add(p, scale(step, sizes[axis])) for p in points))
    side = turning.side(notch.side)
    return (
        f"through {side.axis}" if through else side.value,
        _step(notch.depth),
        tuple(sorted(tuple(_step(c) for c in turning.point(p, sizes)) for p in points)),
        _step(notch.start),
        _step(notch.radius),
        () if way is None or through else tuple(_step(c) for c in turning.direction(way)),
    )


def hole_point(hole: Hole, sizes: tuple[Fraction, Fraction, Fraction]) -> Vec:
    """Where a hole starts, as a point (u, v, w)."""
    level = sizes[hole.side.axis] if hole.side.is_far else Fraction(0)
    a, b = hole.at
    if hole.side.axis == 0:
        return (level, a, b)
    return (a, level, b) if hole.side.axis == 1 else (a, b, level)


def on_side(side: Side, p: Vec) -> tuple[Fraction, Fraction]:
    """The two coordinates that place a point on a side."""
    if side.axis == 0:
        return (p[1], p[2])
    return (p[0], p[2]) if side.axis == 1 else (p[0], p[1])


def turn_blank(blank: Blank, turning: Turning) -> None:
    """Describe the same piece in the coordinates of a turning: frame, sizes, ends, notches and holes follow."""
    sizes = blank.sizes
    frame = blank.frame
    axes = [frame.x, frame.z, frame.y] if turning.swap else [frame.x, frame.y, frame.z]
    new_sizes = (sizes[0], sizes[2], sizes[1]) if turning.swap else sizes
    origin = frame.origin
    for i, flip in enumerate((turning.flip_u, turning.flip_v, turning.flip_w)):
        if flip:
            origin = add(origin, scale(axes[i], new_sizes[i]))
            axes[i] = neg(axes[i])

    def plane(end: EndPlane) -> EndPlane:
        return EndPlane(turning.point(end.point, sizes), turning.direction(end.normal), end.target)

    near, far = plane(blank.near), plane(blank.far)
    if turning.flip_u:
        near, far = far, near
    if blank.shape is not None:
        blank.shape = moved_shape(blank.shape, lambda p: turning.point(p, sizes), turning.side)
    blank.notches[:] = [_turned_notch(n, turning, sizes) for n in blank.notches]
    blank.holes[:] = [_turned_hole(h, turning, sizes) for h in blank.holes]
    blank.frame = Frame(origin, *axes)
    blank.length, blank.width, blank.thickness = new_sizes
    blank.near, blank.far = near, far
    blank.forget_corners()


def _turned_notch(notch: RawNotch, turning: Turning, sizes: tuple[Fraction, Fraction, Fraction]) -> RawNotch:
    second = 2 if notch.side.axis == 1 else 1
    reverse_second = turning.direction(_axis(second))
    sign = (-1 if turning.flip_u else 1) * (1 if sum(reverse_second) > 0 else -1)
    return evolve(
        notch,
        side=turning.side(notch.side),
        outline=tuple(turning.point(p, sizes) for p in notch.outline),
        skew=notch.skew * sign,
        direction=None if notch.direction is None else turning.direction(notch.direction),
    )


def _axis(i: int) -> Vec:
    unit = [Fraction(0)] * 3
    unit[i] = Fraction(1)
    return (unit[0], unit[1], unit[2])


def _turned_hole(hole: Hole, turning: Turning, sizes: tuple[Fraction, Fraction, Fraction]) -> Hole:
    side = turning.side(hole.side)
    point = turning.point(hole_point(hole, sizes), sizes)
    return evolve(hole, side=side, at=on_side(side, point), direction=turning.direction(hole.direction))


def upright_turning(blank: Blank) -> Turning:
    """The turning (reference end kept) that shows a lying piece as it lies: its upper edge up, or its upper face to
    the front.

    Pieces that stand upright stay as the maker placed them.
    """
    half = Fraction(1, 2)
    best, score = Turning(), Fraction(-1)
    for turning in turnings(is_square(blank), mirroring=False):
        if turning.flip_u:
            continue
        axes = [blank.frame.x, blank.frame.y, blank.frame.z]
        if turning.swap:
            axes[1], axes[2] = axes[2], axes[1]
        v_up = axes[1][2] * (-1 if turning.flip_v else 1)
        w_up = axes[2][2] * (-1 if turning.flip_w else 1)
        value = max(v_up if v_up > half else Fraction(0), (w_up if w_up > half else Fraction(0)) - Fraction(1, 10))
        if value > score + SAME:
            best, score = turning, value
    return best

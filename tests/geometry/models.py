"""Small models for the tests of solids and pictures, all sizes in mm."""

from __future__ import annotations

import math

import numpy as np

from planpress.geometry.mesh import Floats
from planpress.geometry.shapes import Shape
from planpress.geometry.solids import Solid, box, hole, overlap_volume, prism, rod

UPRIGHT = np.eye(3)


def rotation(seed: int) -> Floats:
    """A random turn (rows x, y, z)."""
    q, _ = np.linalg.qr(np.random.default_rng(seed).normal(size=(3, 3)))
    turned: Floats = q if np.linalg.det(q) > 0 else -q
    return turned


def random_boxes(count: int, seed: int) -> list[Solid]:
    """Boxes at whole millimetres that may touch but do not overlap."""
    rng = np.random.default_rng(seed)
    solids: list[Solid] = []
    while len(solids) < count:
        length, width, thickness = rng.integers(10, 80, 3).astype(float)
        solid = box(length, width, thickness).moved(rng.integers(0, 120, 3).astype(float))
        if all(overlap_volume(solid, other) == 0 for other in solids):
            solids.append(solid)
    return solids


def _rectangle(x0: float, x1: float, y0: float, y1: float) -> list[tuple[float, float]]:
    return [(x0, y0), (x1, y0), (x1, y1), (x0, y1)]


def rack(slats: int = 4) -> list[Solid]:
    """Slats lapped half and half onto two bearers, flush above; four leaning legs with screw holes and a dowel."""
    length, thick, wide, gap, height = 300.0, 18.0, 38.0, 18.0, 200.0
    depth = slats * thick + (slats - 1) * gap
    crossings = (40.0, 222.0)
    pieces: list[Solid] = []
    for row in range(slats):
        y = row * (thick + gap)
        slat = box(length, thick, wide).moved((0.0, y, height - wide))
        for x in crossings:
            lap = prism(
                _rectangle(x, x + 38, y - 1, y + thick + 1), (0, 0, height - wide / 2), UPRIGHT, wide, name="lap"
            )
            slat = slat.minus(lap)
        pieces.append(slat)
    for x in crossings:
        bearer = box(38.0, depth, wide).moved((x, 0.0, height - wide))
        for row in range(slats):
            y = row * (thick + gap)
            lap = prism(
                _rectangle(x - 1, x + 39, y, y + thick), (0, 0, height - wide / 2), UPRIGHT, 0.0, wide, name="lap"
            )
            bearer = bearer.minus(lap)
        pieces.append(bearer)
    lean = math.radians(7)
    for x, sign in ((40.0, -1.0), (222.0, 1.0)):
        axes = [
            (math.cos(lean), 0.0, sign * math.sin(lean)),
            (0.0, 1.0, 0.0),
            (-sign * math.sin(lean), 0.0, math.cos(lean)),
        ]
        for y in (0.0, depth - 38.0):
            leg = box(38.0, 38.0, 260.0).moved((0.0, 0.0, -30.0)).moved((x + sign * 20, y, 0.0), axes)
            leg = leg.trimmed((0, 0, 0), (0, 0, -1), "foot").trimmed((0, 0, height - wide), (0, 0, 1), "shoulder")
            low, high = leg.bounds
            mouth = (float(low[0] + high[0]) / 2, y, 80.0)
            leg = leg.minus(hole([(0, 5.0), (3, 2.5), (30, 2.5)], mouth, (0, 1, 0), segments=12, name="screw"))
            pieces.append(leg)
    return pieces


def _leaning_stick(turn: float) -> Solid:
    """A stick that rises along its length, beside the z axis; turned about it."""
    c, s = math.cos(math.radians(turn)), math.sin(math.radians(turn))
    lean = math.atan(0.25)
    x = np.array([math.cos(lean) * c, math.cos(lean) * s, math.sin(lean)])
    y = np.array([-s, c, 0.0])
    return box(120.0, 10.0, 10.0).moved(-60 * x - 25 * y, np.stack([x, y, np.cross(x, y)]))


def odd_cases() -> dict[str, list[Solid]]:
    """Cases that are hard on pictures: flush, tilted, touching, through, round."""
    slot = prism(_rectangle(30, 50, -1, 41), (0, 0, 20), UPRIGHT, 10.0, 1.0)
    window = prism(_rectangle(20, 80, 20, 60), (0, 0, 10), UPRIGHT, 30.0, 1.0)
    ramp = box(80.0, 40.0, 60.0).trimmed((0, 0, 20), (-0.3, 0, 1), "ramp")
    angle = math.atan(0.3)
    along, up = (math.cos(angle), 0.0, math.sin(angle)), (-math.sin(angle), 0.0, math.cos(angle))
    tube = rod([(0, 20.0), (60, 20.0)], (0, 0, 0), (0, 0, 1)).minus(
        hole([(0, 12.0), (61, 12.0)], (0, 0, 60), (0, 0, -1))
    )
    return {
        "boards in a row": [box(60.0, 20.0, 10.0).moved((0.0, 20.0 * k, 0.0)) for k in range(5)],
        "stack of unequal boxes": [
            box(80.0, 60.0, 20.0),
            box(40.0, 60.0, 20.0).moved((0, 0, 20)),
            box(40.0, 30.0, 20.0).moved((40, 15, 20)),
            box(20.0, 20.0, 50.0).moved((30, 20, 40)),
        ],
        "block on a ramp": [
            ramp,
            box(30.0, 40.0, 20.0).moved((20 * along[0], 0, 20 + 20 * along[2]), [along, (0, 1, 0), up]),
        ],
        "stick in a notch": [box(100.0, 40.0, 20.0).minus(slot), box(20.0, 120.0, 20.0).moved((30, -40, 10))],
        "bar through a window": [box(100.0, 80.0, 10.0).minus(window), box(20.0, 20.0, 120.0).moved((40, 30, -60))],
        "three sticks round robin": [_leaning_stick(120.0 * k) for k in range(3)],
        "dowel in a tube": [tube, rod([(0, 12.0), (80, 12.0), (84, 8.0)], (0, 0, -10), (0, 0, 1), name="dowel")],
        "screw": [
            box(60.0, 30.0, 20.0).minus(hole([(0, 5.0), (3, 2.2), (15, 2.2)], (20, 15, 20), (0, 0, -1), segments=12)),
            rod([(0, 5.0), (3, 2.2), (15, 2.2)], (20, 15, 20), (0, 0, -1), segments=12, name="screw"),
        ],
        "slit": [
            box(50.0, 30.0, 20.0),
            box(50.0, 30.0, 20.0).moved((50.05, 0, 0)),
            box(100.0, 10.0, 5.0).moved((0, 40, 0)),
        ],
    }


def shapes_of(solids: list[Solid]) -> list[Shape]:
    """Solids, prepared for pictures."""
    return [Shape(solid.mesh()) for solid in solids]

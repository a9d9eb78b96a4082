"""Where a solid over a curved or hollow outline gets its chamfers and round-overs: rims along that outline."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from planpress.geometry.mesh import Floats
from planpress.geometry.rims import Stretch, chamfer, rim_cutter, round_over
from planpress.geometry.solids import Solid
from planpress.geometry.strokes import Outline
from planpress.model.outline_sides import edge_between, stroke_sides
from planpress.model.records import EdgeCut, Side


def rim_cutters(outline: Outline, axis: int, height: float, cuts: Mapping[tuple[Side, Side], EdgeCut]) -> list[Solid]:
    """What edge cuts take from the body over an outline, which stands from level 0 to `height` along the other axis.

    Raises:
        ValueError: if a cut does not fit, or ends where the outline runs on smoothly.
    """
    caps = (Side.BACK, Side.FACE) if axis == 1 else (Side.LOWER, Side.UPPER)
    sides = stroke_sides(outline, axis)
    chains = outline.chains
    order = list(dict.fromkeys(chains))
    corners, owners = outline.flattened
    polygon = np.array([[float(c) for c in p] for p in corners])
    out = []
    needs = [0.0, 0.0]
    for k, cap in enumerate(caps):
        by_stroke = [cuts.get(edge_between(side, cap)) for side in sides]
        kinds = [None if cut is None else (cut.kind, cut.size) for cut in by_stroke]
        if any(kinds[i] != kinds[chain] for i, chain in enumerate(chains)):
            raise ValueError(f"the cut along the {cap.value} ends where the outline runs on smoothly; name all of it")
        for n, chain in enumerate(order):
            cut = by_stroke[chain]
            if cut is None:
                continue
            needs[k] = max(needs[k], float(cut.size))
            profile = chamfer(float(cut.size)) if cut.kind == "chamfer" else round_over(float(cut.size))
            alike = tuple(kinds[order[(n + step) % len(order)]] == kinds[chain] for step in (-1, 1))
            stretch = _stretch(polygon, [i for i, owner in enumerate(owners) if chains[owner] == chain], alike)
            out.append(rim_cutter(stretch, profile, height, k == 1, f"outline {chain + 1} {cap.value} rim"))
    if sum(needs) > height + 1e-9:
        raise ValueError(f"the cuts along its two edges need {sum(needs):.2f} mm of {height:.2f} mm")
    return out


def _stretch(polygon: Floats, indices: list[int], alike: tuple[bool, ...]) -> Stretch:
    """The smooth stretch of the polygon's sides that start at some corners, which follow each other in the ring."""
    count = len(polygon)
    if len(indices) == count:
        return Stretch(polygon, True, None, None, (True, True))
    known = set(indices)
    first = next(i for i in indices if (i - 1) % count not in known)
    ring = [(first + k) % count for k in range(len(indices) + 1)]
    before = polygon[first] - polygon[first - 1]
    after = polygon[(ring[-1] + 1) % count] - polygon[ring[-1]]
    return Stretch(
        polygon[ring],
        False,
        before / np.linalg.norm(before),
        after / np.linalg.norm(after),
        (alike[0], alike[1]),
    )

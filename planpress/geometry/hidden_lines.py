"""Visible and hidden lines of pieces in a view: the line work of dimensioned views and part drawings."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from attrs import frozen

from planpress.geometry.collinear import lengths, without
from planpress.geometry.intervals import gaps
from planpress.geometry.mesh import Floats, Ints, distinct
from planpress.geometry.pictures import Picture, Scene, visible_ranges
from planpress.geometry.shapes import Shape

#: Hidden lines shorter than this (mm) are not drawn.
SHORTEST = 0.02


@frozen(eq=False)
class ViewLines:
    """The lines of a view on paper at true size: x right, y up, mm.

    Attributes:
        picture: the visible lines, with kinds (edge, outline, silhouette), owners and faces.
        hidden: (n, 2, 2) stretches of edges that something hides and no visible line covers; no two overlap.
        hidden_owner: (n,) piece whose edge it is; the first of the pieces that share it.
    """

    picture: Picture
    hidden: Floats
    hidden_owner: Ints

    @property
    def visible(self) -> Floats:
        """(m, 2, 2) the visible lines."""
        return self.picture.segments


def view_lines(
    shapes: Sequence[Shape],
    view: Floats,
    offsets: Sequence[Sequence[float]] | Floats | None = None,
    *,
    hidden: bool = True,
) -> ViewLines:
    """The lines of some pieces seen along a view matrix, each moved by its row of `offsets` (mm).

    With `hidden` False only the visible ones.
    """
    scene = Scene(shapes, view, offsets, with_backs=hidden)
    return scene_lines(scene, hidden=hidden)


def scene_lines(scene: Scene, show: Sequence[int] | None = None, *, hidden: bool = True) -> ViewLines:
    """The lines of the pieces `show` (all if None) of a scene made with `with_backs`."""
    picture = scene.picture(show)
    if not hidden:
        return ViewLines(picture, np.zeros((0, 2, 2)), np.zeros(0, dtype=np.intp))
    seen = scene.seen
    covers, left_out = scene.selected(show)
    edge, low, high = visible_ranges(seen, covers, left_out)
    edge, low, high = gaps(
        np.concatenate([edge, left_out]),
        np.concatenate([low, np.zeros(len(left_out))]),
        np.concatenate([high, np.ones(len(left_out))]),
        len(seen.starts),
    )
    start, run = seen.starts[edge, :2], (seen.ends - seen.starts)[edge, :2]
    covered = np.stack([start + run * low[:, None], start + run * high[:, None]], axis=1)
    backs = np.stack([seen.back_starts[:, :2], seen.back_ends[:, :2]], axis=1)
    segments = np.concatenate([covered, backs])
    owner = np.concatenate([seen.edge_piece[edge], seen.back_piece])
    if show is not None:
        chosen = np.isin(owner, np.asarray(show))
        segments, owner = segments[chosen], owner[chosen]
    long = lengths(segments) > SHORTEST
    segments, owner = segments[long], owner[long]

    drawn = picture.segments
    found, found_owner = [np.zeros((0, 2, 2))], [np.zeros(0, dtype=np.intp)]
    for piece in distinct(owner).tolist():  # what an earlier piece draws is not drawn again
        rest = without(segments[owner == piece], drawn)
        rest = rest[lengths(rest) > SHORTEST]
        drawn = np.concatenate([drawn, rest])
        found.append(rest)
        found_owner.append(np.full(len(rest), piece))
    return ViewLines(picture, np.concatenate(found), np.concatenate(found_owner))

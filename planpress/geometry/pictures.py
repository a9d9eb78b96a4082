"""Tinted line pictures of many pieces: visible lines of three kinds, and the faces seen beside each line.

No painting order and no polygon library: the hidden part of every edge follows from the patches it passes
behind; the faces left and right of what is left over tell which kind of line it is, and walk round each
visible region (`planpress.geometry.regions`).
"""

from __future__ import annotations

from collections.abc import Sequence
from enum import IntEnum

import numpy as np
from attrs import frozen

from planpress.geometry.collinear import directed, unite
from planpress.geometry.intervals import gaps, ragged
from planpress.geometry.mesh import Flags, Floats, Ints, distinct
from planpress.geometry.occlusion import GROW, Covers, Projection, find_covers, project
from planpress.geometry.shapes import Shape

#: Stretches of edge shorter than this (mm) are not told apart.
SHORT = 2e-3
#: Step (mm) to each side of a line to ask which face is seen there.
ASIDE = 1e-5
#: Ends nearer than this (mm) are one point.
SNAP = 2e-2
# Segments on one line within these (radians, mm) are united.
_ANGLE, _OFFSET = 1e-7, 2e-5
# Spacing of edges on a common number line; shares lie in [0, 1].
_PITCH = 4


class LineKind(IntEnum):
    """What a visible line divides."""

    EDGE = 0  #: two faces of one piece
    OUTLINE = 1  #: a piece from a piece behind it or beside it
    SILHOUETTE = 2  #: a piece from the empty background


@frozen(eq=False)
class Picture:
    """Visible lines on paper at true size: x right, y up, mm. The paper's origin is the model's origin.

    Attributes:
        segments: (n, 2, 2) ends of each line.
        kind: (n,) a `LineKind` each.
        faces: (n, 2) face seen left and right of the line, going from its first end to its second; -1 is
            background.
        owner: (n,) piece whose edge the line is; the first of the pieces that share it.
        face_piece: (f,) piece of each face.
        face_label: (f,) label of each face in the mesh of its piece.
        face_normal: (f, 3) mean outward normal in the model's axes; shorter than 1 on curved faces.
    """

    segments: Floats
    kind: Ints
    faces: Ints
    owner: Ints
    face_piece: Ints
    face_label: Ints
    face_normal: Floats

    @property
    def face_is_flat(self) -> Flags:
        """(f,) True if all of a face looks one way."""
        flat: Flags = np.linalg.norm(self.face_normal, axis=1) > 1 - 1e-6
        return flat

    def faces_of(self, piece: int) -> Ints:
        """Faces of a piece that are seen in this picture."""
        seen = distinct(self.faces.ravel())
        seen = seen[seen >= 0]
        of_piece: Ints = seen[self.face_piece[seen] == piece]
        return of_piece

    def bounds(self) -> tuple[Floats, Floats]:
        """Lowest and highest x, y (2,) of all lines, mm.

        Raises:
            ValueError: if the picture is empty.
        """
        if not len(self.segments):
            raise ValueError("an empty picture has no bounds")
        return self.segments.min(axis=(0, 1)), self.segments.max(axis=(0, 1))


class Scene:
    """Pieces seen one way; any of them can be drawn. What hides what is found once, for all pictures.

    A piece that stands in two places (before and after a move) is two entries with the same shape. Pieces
    that share a picture must touch exactly (within 1e-7 mm) or stay 1e-4 mm apart, and must not overlap by
    more than 1e-5 mm.
    """

    def __init__(
        self,
        shapes: Sequence[Shape],
        view: Floats,
        offsets: Sequence[Sequence[float]] | Floats | None = None,
        together: Flags | None = None,
        *,
        with_backs: bool = False,
    ) -> None:
        """Look at shapes along a view matrix.

        Args:
            shapes: the pieces.
            view: rows right, up, toward the viewer (`planpress.geometry.views`).
            offsets: (n, 3) way each piece is moved, mm; none if None.
            together: (n, n) True for pieces that share any picture; saves time if many never do.
            with_backs: keep the edges on the far side too, for hidden lines.
        """
        moved = np.zeros((len(shapes), 3)) if offsets is None else np.asarray(offsets, dtype=np.float64)
        self.view = view
        self.piece_count = len(shapes)
        self.seen: Projection = project(shapes, view, moved, with_backs=with_backs)
        self.covers: Covers = find_covers(self.seen, together)
        none = np.zeros(0, dtype=np.intp)
        counts = [shape.face_count for shape in shapes]
        self.face_piece: Ints = np.repeat(np.arange(len(shapes)), counts)
        self.face_label: Ints = np.concatenate([none, *(shape.face_label for shape in shapes)])
        self.face_normal: Floats = np.concatenate([np.zeros((0, 3)), *(shape.face_normal for shape in shapes)])

    def picture(self, show: Sequence[int] | None = None) -> Picture:
        """Draw the pieces with these indices, or all."""
        seen = self.seen
        covers, left_out = self.selected(show)
        edge, low, high = visible_ranges(seen, covers, left_out)
        edge, low, high = _divide(seen, covers, edge, low, high)
        faces = _faces_beside(seen, covers, edge, (low + high) / 2)

        differ = faces[:, 0] != faces[:, 1]
        edge, low, high, faces = edge[differ], low[differ], high[differ], faces[differ]
        start, run = seen.starts[edge, :2], (seen.ends - seen.starts)[edge, :2]
        segments = np.stack([start + run * low[:, None], start + run * high[:, None]], axis=1)
        segments, faces, owner = _united(segments, faces, seen.edge_piece[edge])

        piece = np.concatenate([self.face_piece, [-1]])[faces]
        kind = np.where((piece < 0).any(axis=1), LineKind.SILHOUETTE, LineKind.OUTLINE)
        kind = np.where(piece[:, 0] == piece[:, 1], LineKind.EDGE, kind).astype(np.intp)
        return Picture(segments, kind, faces, owner, self.face_piece, self.face_label, self.face_normal)

    def selected(self, show: Sequence[int] | None) -> tuple[Covers, Ints]:
        """What covers what among the pieces shown, and the edges of the pieces not shown."""
        if show is None:
            return self.covers, np.zeros(0, dtype=np.intp)
        shown = np.zeros(self.piece_count, dtype=np.bool_)
        shown[np.asarray(show, dtype=np.intp)] = True
        seen, covers = self.seen, self.covers
        keep = shown[seen.edge_piece[covers.edge]] & shown[seen.patch_piece[covers.patch]]
        return covers.only(keep), np.flatnonzero(~shown[seen.edge_piece])


def visible_ranges(seen: Projection, covers: Covers, left_out: Ints) -> tuple[Ints, Floats, Floats]:
    """The ranges of the edges that no patch hides: edge, low, high. Edges `left_out` have none."""
    hides = covers.hidden_high > covers.hidden_low
    edge, low, high = gaps(
        np.concatenate([covers.edge[hides], left_out]),
        np.concatenate([covers.hidden_low[hides], np.zeros(len(left_out))]),
        np.concatenate([covers.hidden_high[hides], np.ones(len(left_out))]),
        len(seen.starts),
    )
    keep = (high - low) * paper_length(seen)[edge] > SHORT
    return edge[keep], low[keep], high[keep]


def paper_length(seen: Projection) -> Floats:
    """(e,) length of each edge on paper, mm."""
    run = seen.ends - seen.starts
    length: Floats = np.hypot(run[:, 0], run[:, 1])
    return length


def _divide(seen: Projection, covers: Covers, edge: Ints, low: Floats, high: Floats) -> tuple[Ints, Floats, Floats]:
    """Cut visible ranges wherever a patch at or behind the edge begins or ends."""
    first = np.searchsorted(covers.edge, np.arange(len(seen.starts)))
    count = np.diff(np.concatenate([first, [len(covers.edge)]]))
    part, cover = ragged(first[edge], count[edge])
    meets = (covers.low[cover] < high[part]) & (covers.high[cover] > low[part])
    part, cover = part[meets], cover[meets]
    every = np.arange(len(edge))
    cuts = np.concatenate(
        [
            every * _PITCH + low,
            every * _PITCH + high,
            part * _PITCH + np.clip(covers.low[cover], low[part], high[part]),
            part * _PITCH + np.clip(covers.high[cover], low[part], high[part]),
        ]
    )
    cuts.sort()
    of_cut = ((cuts + 1) // _PITCH).astype(np.intp)
    wide = (cuts[1:] - cuts[:-1]) * paper_length(seen)[edge[of_cut[:-1]]] > SHORT
    chosen = np.flatnonzero((of_cut[1:] == of_cut[:-1]) & wide)
    part = of_cut[chosen]
    return edge[part], cuts[chosen] - part * _PITCH, cuts[chosen + 1] - part * _PITCH


def _faces_beside(seen: Projection, covers: Covers, edge: Ints, middle: Floats) -> Ints:
    """(n, 2): the face nearest the viewer just left and right of a point of each edge, -1 for none.

    `edge` must not fall, and the points of one edge must rise.
    """
    # every cover of the edge that holds the point
    key = edge * _PITCH + middle
    first = np.searchsorted(key, covers.edge * _PITCH + covers.low)
    last = np.searchsorted(key, covers.edge * _PITCH + covers.high, side="right")
    cover, point = ragged(first, np.maximum(last - first, 0))
    patch = covers.patch[cover]

    run = (seen.ends - seen.starts)[edge, :2]
    x, y = (seen.starts[edge, :2] + run * middle[:, None]).T
    step = np.array([-run[:, 1], run[:, 0]]) / paper_length(seen)[edge] * ASIDE
    at_x, at_y, step_x, step_y = x[point], y[point], step[0, point], step[1, point]
    on_left = np.ones(len(point), dtype=np.bool_)
    on_right = on_left.copy()
    for side_x, side_y, side_offset in seen.sides:
        toward_x, toward_y = side_x[patch], side_y[patch]
        inside = toward_x * at_y - toward_y * at_x - side_offset[patch] + GROW
        change = toward_x * step_y - toward_y * step_x
        on_left &= inside >= -change
        on_right &= inside >= change

    depth, lean_x, lean_y = seen.planes.T
    faces = np.full((len(edge), 2), -1, dtype=np.intp)
    for column, holds, sign in ((0, on_left, 1.0), (1, on_right, -1.0)):
        chosen = np.flatnonzero(holds)
        of = patch[chosen]
        near = depth[of] - lean_x[of] * (at_x[chosen] + sign * step_x[chosen])
        near -= lean_y[of] * (at_y[chosen] + sign * step_y[chosen])
        order = np.argsort(near, kind="stable")  # the last written stays: the nearest
        faces[point[chosen[order]], column] = seen.patch_face[of[order]]
    return faces


def _united(segments: Floats, faces: Ints, owner: Ints) -> tuple[Floats, Ints, Ints]:
    """Join collinear segments between the same two faces; all then run to the right, or upward."""
    if not len(segments):
        return segments, faces, owner
    turned = directed(segments)
    faces = np.where(turned[:, None], faces[:, ::-1], faces)
    united, line, lines = unite(segments, faces, angle=_ANGLE, offset=_OFFSET, bridge=SNAP)
    owners = np.full(len(lines.first), np.iinfo(np.intp).max)
    np.minimum.at(owners, lines.of, owner)
    return united, faces[lines.first][line], owners[line]

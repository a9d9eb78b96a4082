"""What covers what: edges and surface patches of many pieces, and where an edge lies behind a patch."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TypeAlias

import numpy as np
from attrs import frozen
from numpy.typing import NDArray

from planpress.geometry.intervals import narrow
from planpress.geometry.mesh import Flags, Floats, Ints
from planpress.geometry.shapes import Shape

#: Patches count as this much wider (mm), or lines leak along the seam of two patches.
GROW = 1e-6
#: An edge must be this far (mm) behind a patch to be hidden by it, or touching faces hide each other's edges.
SLACK = 2e-3
#: A side looks toward the viewer if its unit normal leans to them by more than this.
FACING = 1e-5
# Edges and patches compared at a time: keeps the table of comparisons in the processor's cache.
_CHUNK = 100_000

Singles: TypeAlias = NDArray[np.float32]


@frozen(eq=False)
class Projection:
    """Pieces seen one way. Paper coordinates (x right, y up, z toward the viewer), mm.

    Attributes:
        starts, ends: (e, 3) edges with at least one side toward the viewer.
        edge_piece: (e,) index of the piece.
        patches: (q, 4, 3) surface patches that look toward the viewer, counter-clockwise.
        patch_piece, patch_face: (q,) piece and face; faces are numbered through all pieces.
        planes: (q, 3) depth of a patch at (x, y) is planes[0] - planes[1] x - planes[2] y.
        sides: (4, 3, q) a point is within a patch if for each side s[0] y - s[1] x - s[2] >= 0.
        back_starts, back_ends, back_piece: sharp edges with both sides turned away; empty unless asked for.
    """

    starts: Floats
    ends: Floats
    edge_piece: Ints
    patches: Floats
    patch_piece: Ints
    patch_face: Ints
    planes: Floats
    sides: Floats
    back_starts: Floats
    back_ends: Floats
    back_piece: Ints


def project(shapes: Sequence[Shape], view: Floats, offsets: Floats, *, with_backs: bool = False) -> Projection:
    """See pieces, each moved by its row of `offsets` (n, 3) mm, along a view matrix (3, 3)."""
    starts, ends, edge_piece = [np.zeros((0, 3))], [np.zeros((0, 3))], [np.zeros(0, dtype=np.intp)]
    back_starts, back_ends, back_piece = list(starts), list(ends), list(edge_piece)
    patches, normals = [np.zeros((0, 4, 3))], [np.zeros((0, 3))]
    patch_piece, patch_face = list(edge_piece), list(edge_piece)
    toward, faces_before = view[2], 0
    for number, shape in enumerate(shapes):
        shift = view @ offsets[number]
        left, right = shape.normals_left @ toward > FACING, shape.normals_right @ toward > FACING
        keep = np.where(shape.sharp, left | right, left != right)
        starts.append(shape.starts[keep] @ view.T + shift)
        ends.append(shape.ends[keep] @ view.T + shift)
        edge_piece.append(np.full(len(starts[-1]), number))
        if with_backs:
            keep = shape.sharp & ~(left | right)
            back_starts.append(shape.starts[keep] @ view.T + shift)
            back_ends.append(shape.ends[keep] @ view.T + shift)
            back_piece.append(np.full(len(back_starts[-1]), number))
        keep = shape.patch_normal @ toward > FACING
        patches.append(shape.patches[keep] @ view.T + shift)
        normals.append(shape.patch_normal[keep] @ view.T)
        patch_piece.append(np.full(len(patches[-1]), number))
        patch_face.append(shape.patch_face[keep] + faces_before)
        faces_before += shape.face_count
    patch = np.concatenate(patches)
    normal = np.concatenate(normals)
    normal = normal / normal[:, 2:3]
    planes = np.column_stack([(normal * patch[:, 0]).sum(axis=1), normal[:, :2]])
    return Projection(
        np.concatenate(starts),
        np.concatenate(ends),
        np.concatenate(edge_piece),
        patch,
        np.concatenate(patch_piece),
        np.concatenate(patch_face),
        planes,
        _sides(patch),
        np.concatenate(back_starts),
        np.concatenate(back_ends),
        np.concatenate(back_piece),
    )


def _sides(patches: Floats) -> Floats:
    """(4, 3, q) unit direction x, y of each side and its offset; a side of no length lets all pass."""
    run = (np.roll(patches, -1, axis=1) - patches)[:, :, :2]
    run = run / np.maximum(np.hypot(run[..., 0], run[..., 1]), 1e-300)[..., None]
    offset = run[..., 0] * patches[..., 1] - run[..., 1] * patches[..., 0]
    return np.ascontiguousarray(np.stack([run[..., 0], run[..., 1], offset]).transpose(2, 0, 1))


@frozen(eq=False)
class Covers:
    """Every meeting of an edge and a patch on paper, sorted by edge. Ranges are shares of the edge's length.

    Attributes:
        edge, patch: (p,) indices.
        low, high: (p,) where the edge runs within the patch.
        hidden_low, hidden_high: (p,) where it runs behind the patch; empty if high <= low.
    """

    edge: Ints
    patch: Ints
    low: Floats
    high: Floats
    hidden_low: Floats
    hidden_high: Floats

    def only(self, keep: Flags) -> Covers:
        """The meetings flagged."""
        return Covers(
            self.edge[keep],
            self.patch[keep],
            self.low[keep],
            self.high[keep],
            self.hidden_low[keep],
            self.hidden_high[keep],
        )


def find_covers(seen: Projection, together: Flags | None = None) -> Covers:
    """Find all meetings of edges and patches; `together` (n, n) tells which pieces ever share a picture."""
    ends = np.stack([seen.starts, seen.ends], axis=1)
    middle = ends.mean(axis=(0, 1)) if len(ends) else np.zeros(3)
    edge, patch = _boxes_that_meet(_boxes(ends - middle), _boxes(seen.patches - middle))
    if together is not None:
        keep = together[seen.edge_piece[edge], seen.patch_piece[patch]]
        edge, patch = edge[keep], patch[keep]
    low, high = np.zeros(len(edge)), np.ones(len(edge))
    x, y, z = seen.starts.T.copy()
    dx, dy, dz = (seen.ends - seen.starts).T.copy()
    for number in range(4):
        side_x, side_y, side_offset = (values[patch] for values in seen.sides[number])
        inside = side_x * y[edge] - side_y * x[edge] - side_offset + GROW
        narrow(inside, side_x * dy[edge] - side_y * dx[edge], low, high)
        if number in (1, 3):
            keep = high > low
            edge, patch, low, high = edge[keep], patch[keep], low[keep], high[keep]
    order = np.argsort(edge, kind="stable")
    edge, patch, low, high = edge[order], patch[order], low[order], high[order]
    hidden_low, hidden_high = low.copy(), high.copy()
    depth, lean_x, lean_y = (values[patch] for values in seen.planes.T.copy())
    behind = depth - lean_x * x[edge] - lean_y * y[edge] - z[edge] - SLACK
    narrow(behind, -(lean_x * dx[edge] + lean_y * dy[edge] + dz[edge]), hidden_low, hidden_high)
    return Covers(edge, patch, low, high, hidden_low, hidden_high)


def _boxes(points: Floats) -> tuple[Singles, Singles]:
    """Low and high (n, 4) of x, y, x + y and x - y over the points (n, k, 3) of each thing, a little grown.

    Single precision halves the work and is fine enough near the origin.
    """
    x, y = points[..., 0], points[..., 1]
    measured = np.stack([x, y, x + y, x - y], axis=2)
    return (measured.min(axis=1) - 1e-3).astype(np.float32), (measured.max(axis=1) + 1e-3).astype(np.float32)


def _boxes_that_meet(edges: tuple[Singles, Singles], patches: tuple[Singles, Singles]) -> tuple[Ints, Ints]:
    """(edge, patch) whose boxes overlap; sorted along x, so that a run of edges meets a slice of patches."""
    edge_low, edge_high = edges
    edge_order = np.argsort(edge_low[:, 0], kind="stable")
    patch_order = np.argsort(patches[0][:, 0], kind="stable")
    patch_low, patch_high = patches[0][patch_order], patches[1][patch_order]
    widest = (patch_high[:, 0] - patch_low[:, 0]).max(initial=0)
    found_edges, found_patches = [np.zeros(0, dtype=np.intp)], [np.zeros(0, dtype=np.intp)]
    step = max(16, _CHUNK // max(1, len(patch_order)))
    for begin in range(0, len(edge_order), step):
        run = edge_order[begin : begin + step]
        low, high = edge_low[run], edge_high[run]
        first, last = np.searchsorted(patch_low[:, 0], [low[0, 0] - widest, high[:, 0].max()])
        some_low, some_high = patch_low[first:last], patch_high[first:last]
        meets = low[:, None, 0] <= some_high[None, :, 0]
        meets &= some_low[None, :, 0] <= high[:, None, 0]
        meets &= low[:, None, 1] <= some_high[None, :, 1]
        meets &= some_low[None, :, 1] <= high[:, None, 1]
        in_run, in_slice = np.divmod(np.flatnonzero(meets), max(1, int(last - first)))
        found_edges.append(run[in_run])
        found_patches.append(patch_order[first + in_slice])
    edge, patch = np.concatenate(found_edges), np.concatenate(found_patches)
    keep = (edge_low[edge, 2] <= patches[1][patch, 2]) & (patches[0][patch, 2] <= edge_high[edge, 2])
    keep &= (edge_low[edge, 3] <= patches[1][patch, 3]) & (patches[0][patch, 3] <= edge_high[edge, 3])
    return edge[keep], patch[keep]

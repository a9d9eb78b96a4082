"""What a picture needs of one piece whichever way it is seen: faces, edges, surface in few patches."""

from __future__ import annotations

import numpy as np

from planpress.geometry.mesh import (
    Flags,
    Floats,
    HalfEdgePairs,
    Ints,
    Mesh,
    half_edge_pairs,
    joined,
    normals_and_areas,
)

#: Edges bent less than this (degrees) are never drawn.
BENT = 0.5


class Shape:
    """One piece, prepared once for any number of pictures.

    A *face* is all triangles that hang together over edges not drawn: those not bent, and those inside one
    label (round walls).

    Attributes:
        face_count: number of faces.
        face_label: (f,) the mesh label of each face's first triangle.
        face_normal: (f, 3) area mean of the outward unit normals; shorter than 1 on curved faces.
        starts, ends: (e, 3) drawable edges, mm.
        normals_left, normals_right: (e, 3) outward normals of the two sides of each edge.
        sharp: (e,) True if the edge divides two labels; False if it is only drawn where it is a silhouette.
        patches: (q, 4, 3) convex flat quads (a triangle repeats its last corner) that make up the surface.
        patch_normal, patch_face: (q, 3) and (q,) outward normal and face of each patch.
    """

    def __init__(self, mesh: Mesh, bent: float = BENT) -> None:
        """Prepare a mesh; raises ValueError if it is not closed."""
        corners = mesh.corners()
        normals, areas = normals_and_areas(corners)
        pairs = half_edge_pairs(mesh.triangles, len(mesh.vertices))
        cosine = np.einsum("ij,ij->i", normals[pairs.first], normals[pairs.second])
        is_bent = cosine < np.cos(np.radians(bent))
        same_label = mesh.labels[pairs.first] == mesh.labels[pairs.second]

        inside = ~is_bent | same_label
        face = joined(len(mesh.triangles), pairs.first[inside], pairs.second[inside])
        self.face_count = int(face.max(initial=-1)) + 1
        first_triangle = np.flatnonzero(np.diff(np.maximum.accumulate(face), prepend=-1))  # faces come in rising order
        self.face_label: Ints = mesh.labels[first_triangle]
        self.face_normal: Floats = np.zeros((self.face_count, 3))
        np.add.at(self.face_normal, face, normals * areas[:, None])
        total = np.bincount(face, areas, minlength=self.face_count)
        self.face_normal /= np.maximum(total, 1e-300)[:, None]

        self.starts: Floats = mesh.vertices[pairs.start[is_bent]]
        self.ends: Floats = mesh.vertices[pairs.end[is_bent]]
        self.normals_left: Floats = normals[pairs.first[is_bent]]
        self.normals_right: Floats = normals[pairs.second[is_bent]]
        self.sharp: Flags = ~same_label[is_bent]

        edge, triangle, rest = _joined_triangles(mesh, pairs, normals, cosine)
        quads = np.stack([pairs.start, pairs.apex_second, pairs.end, pairs.apex_first], axis=1)[edge]
        vertices = np.concatenate([quads, mesh.triangles[rest][:, [0, 1, 2, 2]]])
        owner = np.concatenate([triangle, rest])
        self.patches: Floats = mesh.vertices[vertices]
        self.patch_normal: Floats = normals[owner]
        self.patch_face: Ints = face[owner]


def _joined_triangles(mesh: Mesh, pairs: HalfEdgePairs, normals: Floats, cosine: Floats) -> tuple[Ints, Ints, Ints]:
    """Join flat pairs of triangles to convex quads, longest shared edge first.

    Returns:
        the shared edges, a triangle of each quad, and the triangles left over.
    """
    p, q = mesh.vertices[pairs.start], mesh.vertices[pairs.end]
    r, s = mesh.vertices[pairs.apex_first], mesh.vertices[pairs.apex_second]
    normal = normals[pairs.first]

    def turn(a: Floats, b: Floats, c: Floats) -> Floats:
        turned: Floats = np.einsum("ij,ij->i", np.cross(b - a, c - b), normal)
        return turned

    convex = (turn(p, s, q) > 1e-9) & (turn(s, q, r) > -1e-9) & (turn(r, p, s) > -1e-9)
    usable = np.flatnonzero((cosine > 1 - 1e-12) & convex)
    usable = usable[np.argsort(-((p - q)[usable] ** 2).sum(axis=1), kind="stable")]
    free = [True] * len(mesh.triangles)
    edges: list[int] = []
    owners: list[int] = []
    for edge, one, two in zip(
        usable.tolist(), pairs.first[usable].tolist(), pairs.second[usable].tolist(), strict=True
    ):
        if free[one] and free[two]:
            free[one] = free[two] = False
            edges.append(edge)
            owners.append(one)
    return np.array(edges, dtype=np.intp), np.array(owners, dtype=np.intp), np.flatnonzero(free)

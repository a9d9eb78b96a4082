"""Directions of view: matrices whose rows are right, up and toward the viewer, in the model's axes.

The model has x to the right, y to the back and z up. `points @ view.T` gives paper x (right), paper y (up)
and nearness.
"""

from __future__ import annotations

import math

import numpy as np

from planpress.geometry.mesh import Floats

#: Azimuth (degrees) of pictures: the viewer stands 32 degrees to the left of the front.
PICTURE_AZIMUTH = -122.0
#: Elevation (degrees) of pictures.
PICTURE_ELEVATION = 25.0


def _exact(*rows: tuple[int, int, int]) -> Floats:
    matrix = np.array(rows, dtype=np.float64)
    matrix.setflags(write=False)
    return matrix


FRONT = _exact((1, 0, 0), (0, 0, 1), (0, -1, 0))
BACK = _exact((-1, 0, 0), (0, 0, 1), (0, 1, 0))
RIGHT = _exact((0, 1, 0), (0, 0, 1), (1, 0, 0))
LEFT = _exact((0, -1, 0), (0, 0, 1), (-1, 0, 0))
#: Seen from above, front edge at the bottom of the paper.
TOP = _exact((1, 0, 0), (0, 1, 0), (0, 0, 1))
#: Seen from below, front edge at the top of the paper.
BOTTOM = _exact((1, 0, 0), (0, -1, 0), (0, 0, -1))


def view_matrix(azimuth: float = PICTURE_AZIMUTH, elevation: float = PICTURE_ELEVATION) -> Floats:
    """Rows right, up, toward the viewer (3, 3) of a parallel view.

    Args:
        azimuth: degrees, counter-clockwise from above, from the x axis to the viewer; -90 is the front.
        elevation: degrees of the viewer above the horizon, -90 to 90; at 90 the paper's right follows the
            azimuth.
    """
    a, e = math.radians(azimuth), math.radians(elevation)
    right = (-math.sin(a), math.cos(a), 0.0)
    toward = (math.cos(e) * math.cos(a), math.cos(e) * math.sin(a), math.sin(e))
    up = (-math.sin(e) * math.cos(a), -math.sin(e) * math.sin(a), math.cos(e))
    return np.array([right, up, toward])


def view_from(direction: tuple[float, float, float], up: tuple[float, float, float] = (0.0, 0.0, 1.0)) -> Floats:
    """Rows right, up, toward the viewer (3, 3), for a viewer far off in `direction`.

    `up` is drawn upright; if it lies in the line of sight, y takes its place.

    Raises:
        ValueError: if the direction has no length.
    """
    toward = np.array(direction, dtype=np.float64)
    length = float(np.linalg.norm(toward))
    if length == 0:
        raise ValueError("a direction of view needs a length")
    toward /= length
    right = np.cross(np.array(up, dtype=np.float64), toward)
    if np.linalg.norm(right) < 1e-6 * np.linalg.norm(up):
        right = np.cross([0.0, 1.0, 0.0], toward)
        if np.linalg.norm(right) < 1e-6:
            right = np.cross([0.0, 0.0, 1.0], toward)
    right /= np.linalg.norm(right)
    return np.stack([right, np.cross(toward, right), toward])

"""The block: the one live area of 180 x 252 mm that every page is laid out on, alike on Letter and A4.

Everything on a page is placed in block coordinates: mm from the block's upper left corner, x to the right, y DOWN. Only
this module knows where the block lies on the paper and how mm become points.
"""

from __future__ import annotations

from typing import Final

from attrs import frozen

from planpress.base.edition import PAPERS

MM: Final = 72 / 25.4  # points

WIDTH: Final = 180.0
HEIGHT: Final = 252.0
LEFT: Final = 18.0  # clear of punch holes

COLUMNS: Final = (0.0, 46.0, 92.0, 138.0)
COLUMN: Final = 42.0
GUTTER: Final = 4.0

ROW: Final = 4.5
CONTENT_TOP: Final = 22.5
CONTENT_TOP_LOW: Final = 27.0  # under a head whose purpose lines stand below its title
CONTENT_BOTTOM: Final = 235.0
FOOT: Final = 239.5


@frozen
class Block:
    """Where the block lies on a paper.

    Attributes:
        paper: key of `base.edition.PAPERS`.
    """

    paper: str

    @property
    def page_size(self) -> tuple[float, float]:
        """Width and height of the paper in points."""
        width, height = PAPERS[self.paper]
        return float(width) * MM, float(height) * MM

    @property
    def above(self) -> float:
        """White above the block in mm; as much is below it."""
        return (float(PAPERS[self.paper][1]) - HEIGHT) / 2

    def point(self, x: float, y: float) -> tuple[float, float]:
        """A place in block coordinates as points from the paper's lower left corner."""
        height = float(PAPERS[self.paper][1])
        return (LEFT + x) * MM, (height - self.above - y) * MM


def span(first: int, count: int = 1) -> tuple[float, float]:
    """(x, width) in mm of `count` columns side by side, from column `first` (0 to 3)."""
    return COLUMNS[first], count * COLUMN + (count - 1) * GUTTER

"""Pens, tints and sizes of all figures, in one place. Millimetres on paper; type sizes in points."""

from __future__ import annotations

from typing import Final

from planpress.base.display import Hatch, Pen

INK: Final = "#1B1B1A"
SECONDARY: Final = "#575753"  # captions; contrast 7.3 on white
HATCH_GREY: Final = "#6E6E69"
GREY_2: Final = "#8E8E89"  # lines only, never text
GREY_3: Final = "#BDBDB8"
TINT_0: Final = "#FFFFFF"  # faces that look up
TINT_1: Final = "#EFEFEB"  # bodies of part drawings
TINT_2: Final = "#E2E2DE"  # faces to the front or right
TINT_3: Final = "#CBCBC6"  # faces to the left or in shade
DEFAULT_ACCENT: Final = "#2E6A4C"

# Widths follow the series of ISO 128-2 (0.18, 0.25, 0.35, 0.5).
HAIR: Final = 0.18
FINE: Final = 0.25
PIECE: Final = 0.3
MEDIUM: Final = 0.35
STRONG: Final = 0.5

OUTLINE: Final = Pen(STRONG, INK)
OUTLINE_CLOSE: Final = Pen(PIECE, INK)  # where outlines run closer than CLOSE apart
EDGE: Final = Pen(FINE, INK)
THIN: Final = Pen(HAIR, INK)
HIDDEN: Final = Pen(HAIR, INK, (1.6, 0.8))
CENTRE: Final = Pen(HAIR, INK, (2.4, 0.7, 0.5, 0.7))
DIMENSION: Final = Pen(HAIR, INK)
LEADER: Final = Pen(HAIR, INK)
BALLOON: Final = Pen(MEDIUM, INK)
TEMPLATE_OUTLINE: Final = Pen(MEDIUM, INK)
JOIN_LINE: Final = Pen(FINE, INK, (3.0, 1.2))
BREAK: Final = Pen(FINE, INK)
WRITING_BOX: Final = Pen(FINE, INK, join="miter")
RULE_HAIR: Final = Pen(HAIR, INK)
ROW_RULE: Final = Pen(HAIR, GREY_3)

WASTE: Final = Hatch(1.6, -45.0, Pen(HAIR, HATCH_GREY))
TEMPLATE_WASTE: Final = Hatch(2.2, -45.0, Pen(HAIR, HATCH_GREY))

CLOSE: Final = 1.2
LETTER_SIZE: Final = 11.0  # dimensions: figures 2.5 mm high
CAPTION_SIZE: Final = 9.5
SMALLEST_TEXT: Final = 9.0
POINT: Final = 25.4 / 72.0  # mm


def trail(accent: str) -> Pen:
    """The dash-dot line along which a part travels into its place."""
    return Pen(HAIR, accent, (3.2, 1.0, 0.5, 1.0))

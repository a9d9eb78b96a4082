"""A measure of text for tests: letters somewhat over half as wide as the type size, slim signs a quarter."""

from __future__ import annotations

from planpress.base.display import Circle, Face, Figure, Path, Text
from planpress.base.edition import Edition
from planpress.base.lettering import plain
from planpress.base.printing import Units
from planpress.figures.clearance import findings

INCHES = Edition(Units.IMPERIAL, "letter")
MILLIMETRES = Edition(Units.METRIC, "a4")


class HalfEm:
    """Implements `base.display.TypeMeasure`; wider than the real type, so what fits here fits there."""

    def width(self, text: str, face: Face, size: float) -> float:
        """0.55 em a letter, 0.27 em a slim sign, mm; other faces than Regular a little more."""
        ems = sum(0.27 if letter in "!.,:;'| " else 0.55 for letter in text)
        return ems * size * 25.4 / 72 + (0.0 if face is Face.REGULAR else 0.1)


MEASURE = HalfEm()


def words(figure: Figure) -> list[str]:
    """All texts of a figure, fractions spelled out."""
    return [plain(item.string) for item in figure.items if isinstance(item, Text)]


def faults(figure: Figure) -> list[str]:
    """What the layout check says of a figure."""
    return [f"{found.fault.value}: {found.about}" for found in findings(figure, MEASURE)]


def find(figure: Figure, string: str) -> Text:
    """The only text that reads so (fractions spelled out)."""
    found = [item for item in figure.items if isinstance(item, Text) and plain(item.string) == string]
    assert len(found) == 1, f"{string!r} stands {len(found)} times in {words(figure)}"
    return found[0]


def shapes(figure: Figure) -> list[Path | Circle]:
    """Everything but text."""
    return [item for item in figure.items if not isinstance(item, Text)]

"""The layout check finds planted faults, and nothing else."""

from __future__ import annotations

import pytest

from planpress.base.display import Anchor, Circle, Figure, Hatch, Item, Path, Pen, Role, Text, line, rectangle
from planpress.figures import marks
from planpress.figures.clearance import Fault, findings
from tests.figures.measure import MEASURE

PEN = Pen(0.18)
TEXT = Text((20.0, 20.0), "19", size=11.0)  # 4.3 wide, 2.6 high


def found(*items: Item) -> list[Fault]:
    return [finding.fault for finding in findings(Figure(100.0, 100.0, items), MEASURE)]


def test_a_plain_figure_has_no_fault() -> None:
    assert found(TEXT, line((0, 18), (100, 18), PEN), Text((40, 20), "20"), Circle((80, 80), 5, PEN)) == []


@pytest.mark.parametrize(
    "item",
    [
        line((0.0, 21.0), (100.0, 21.0), PEN),
        line((22.0, 0.0), (22.0, 100.0), PEN, Role.EXTENSION),
        line((15.0, 15.0), (30.0, 30.0), PEN),
        line((21.0, 21.0), (22.0, 21.5), PEN),  # wholly inside
        Path((("m", 10.0, 21.0), ("c", 15.0, 21.0, 25.0, 21.0, 40.0, 21.0)), PEN),
        Circle((22.0, 21.0), 1.0, PEN),
        line((0.0, 19.8), (100.0, 19.8), PEN),  # too near below
    ],
)
def test_text_across_a_line(item: Item) -> None:
    assert found(TEXT, item) == [Fault.TEXT_ON_LINE]


def test_text_across_a_line_when_turned() -> None:
    turned = Text((20.0, 20.0), "1234", angle=90.0)
    assert found(turned, line((0.0, 25.0), (100.0, 25.0), PEN)) == [Fault.TEXT_ON_LINE]
    assert found(turned, line((22.0, 0.0), (22.0, 100.0), PEN)) == []


def test_text_on_text() -> None:
    assert found(TEXT, Text((23.0, 21.0), "20")) == [Fault.TEXT_ON_TEXT]
    assert found(TEXT, Text((25.0, 20.0), "20")) == []
    assert found(TEXT, Text((24.4, 20.0), "20")) == [Fault.TEXT_ON_TEXT]  # nearer than a hair
    assert found(TEXT, Text((19.0, 20.0), "18", anchor=Anchor.END)) == []


def test_text_on_hatching() -> None:
    assert found(Path(rectangle(10, 10, 40, 40), None, Hatch()), TEXT) == [Fault.TEXT_ON_HATCH]
    assert found(Path(rectangle(10, 10, 40, 40), None, "#EFEFEB", Role.TINT), TEXT) == []


def test_leaders_cross() -> None:
    a = line((10, 10), (50, 50), PEN, Role.LEADER)
    assert found(a, line((10, 50), (50, 10), PEN, Role.LEADER)) == [Fault.LEADERS_CROSS]
    assert found(a, line((10, 50), (50, 10), PEN, Role.EDGE)) == []
    assert found(a, line((50, 50), (60, 10), PEN, Role.LEADER)) == []  # they share an end


def test_outside_the_frame() -> None:
    assert found(Text((98.0, 20.0), "19")) == [Fault.OUTSIDE]
    assert found(line((-1.0, 0.0), (10.0, 0.0), PEN)) == [Fault.OUTSIDE]


def test_small_text() -> None:
    assert found(Text((20.0, 20.0), "19", size=8.9)) == [Fault.SMALL_TEXT]
    assert found(Text((20.0, 20.0), "19", size=9.0)) == []


def test_balloons_cover_the_lines_under_them() -> None:
    under = line((0.0, 20.0), (100.0, 20.0), PEN, Role.TRAIL)
    assert found(under, *marks.balloon((50.0, 20.0), "A")) == []
    assert found(*marks.balloon((50.0, 20.0), "A"), under) == [Fault.TEXT_ON_LINE]
    assert found(*marks.capsule((50.0, 20.0), "= B", MEASURE)) == []

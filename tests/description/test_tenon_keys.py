"""What is said of wrong keys of tenons and bridles."""

from __future__ import annotations

import pytest

from tests.description.plans import SMALL, marked, read, told


@pytest.mark.parametrize(
    ("joint", "expected"),
    [
        ("{kind: bridle, tenon: slat, mortise: leg, ^width: 1 in}",
         "the key 'width' does not belong in joint 'x' (bridle): a bridle is open at the end"),
        ("{kind: bridle, tenon: slat, mortise: leg, ^wedges: 2}",
         "the key 'wedges' does not belong in joint 'x' (bridle): a bridle is open at the end"),
        ("{kind: mortise and tenon, tenon: slat, mortise: leg, haunch_width: 1 in}",
         "28:3 the key 'haunch' is missing in joint 'x' (mortise and tenon): a haunch has a length and a width"),
        ("{kind: mortise and tenon, tenon: slat}",
         "28:3 the key 'mortise' is missing in joint 'x' (mortise and tenon)"),
        ("{kind: mortise and tenon, tenon: slat, mortise: ^legs}", "unknown part 'legs'"),
        ("{kind: mortise and tenon, tenon: slat, mortise: ^slat}",
         "joint 'x' (mortise and tenon) names 'slat' twice"),
        ("{kind: mortise and tenon, tenon: slat, mortise: leg, tenons: ^2 in}", "'2 in' is a length"),
        ("{kind: mortise and tenon, tenon: slat, mortise: leg, thickness: ^2}", "'2' is a count"),
        ("{kind: mortise and tenon, tenon: slat, mortise: leg, cutter: ^{imperial: 1/4 in}}",
         "the key 'metric' is missing in 'cutter' of joint 'x' (mortise and tenon)"),
        ("{kind: mortise and tenon, tenon: slat, mortise: leg, ^between: [slat, leg]}",
         "unknown key 'between' in joint 'x' (mortise and tenon)"),
    ],
)  # fmt: skip
def test_one_fault_of_a_tenon(joint: str, expected: str) -> None:
    text, expected = marked(f"{SMALL}  x: {joint}\n", expected)
    assert [message for message in told(text) if expected in message]
    assert len(told(text)) == 1


def test_all_keys_are_read() -> None:
    joint = (
        "{kind: mortise and tenon, tenon: slat, mortise: leg, thickness: 1/4 in, width: 1 in, offset: 1/16 in,"
        " tenons: 2, wedges: 1, haunch: 3/8 in, haunch_width: 1/2 in, cutter: 1/4 in, fit: 0.1 mm,"
        " room: 1/16 in, glue: true}"
    )
    record = read(f"{SMALL}  x: {joint}\n").joints[-1]
    formulas = ("thickness", "width", "offset", "tenons", "wedges", "haunch", "haunch_width", "fit")
    assert all(getattr(record, name) is not None for name in (*formulas, "cutter", "room"))

"""Cautions of the maker and what hangs on a wall: how they are read, and which step they stand before."""

from __future__ import annotations

import pytest

from planpress.base.diagnostics import PlanFaults
from planpress.description.reader import read_description
from tests.plans import HEAD

BODY = """
materials:
  stick: {form: board, species: white oak, thickness: 20 mm, width: 40 mm}
parts:
  rail: {material: stick, length: 400 mm, place: {corner: [0 mm, 0 mm, 0 mm], length: +x, width: +z}}
"""


def faults(text: str) -> str:
    with pytest.raises(PlanFaults) as raised:
        read_description(HEAD + BODY + text, "plan.yaml")
    return str(raised.value)


def test_a_caution_is_read_with_its_part_and_place() -> None:
    text = "hangs_by: rail\ncautions:\n  - says: The wall\n      decides.\n    before: rail\n  - says: It tips.\n"
    plan = read_description(HEAD + BODY + text, "plan.yaml")
    first, second = plan.cautions
    assert (first.says, first.before and first.before.text) == ("The wall decides.", "rail")
    assert (second.says, second.before) == ("It tips.", None)
    assert first.place.line == (HEAD + BODY + text)[: (HEAD + BODY + text).index("The wall")].count("\n") + 1
    assert plan.hangs_by is not None
    assert plan.hangs_by.text == "rail"


def test_a_plan_without_cautions_has_none() -> None:
    plan = read_description(HEAD + BODY, "plan.yaml")
    assert plan.cautions == ()
    assert plan.hangs_by is None


def test_messages_name_what_is_wrong() -> None:
    assert "unknown part 'rial'" in faults("cautions:\n  - {says: It tips., before: rial}\n")
    assert "unknown part 'wall'" in faults("hangs_by: wall\n")
    assert "the key 'says' is missing in caution 1" in faults("cautions:\n  - {before: rail}\n")
    assert "'cautions' is 'It tips.'" in faults("cautions: It tips.\n")
    assert "the plan has 4 cautions" in faults("cautions:\n" + "  - {says: It tips.}\n" * 4)
    assert "caution 1 has 400 characters" in faults(f"cautions:\n  - {{says: {'x' * 400}}}\n")

"""The wall shelf's steps: what hangs is finished first, pins follow tails, the drawer slides in, cautions in time."""

from __future__ import annotations

import functools

from planpress.base.edition import Edition
from planpress.base.lettering import plain
from planpress.base.printing import Units
from planpress.description.reader import read_description
from planpress.model.records import SolvedPlan
from planpress.model.solids import Solids
from planpress.model.solve import solve
from planpress.work.steps import Step, plan_steps
from tests.plans import ROOT


@functools.cache
def shelf() -> SolvedPlan:
    path = ROOT / "projects" / "wall-shelf" / "plan.yaml"
    return solve(read_description(path.read_text(encoding="utf-8"), "plan.yaml"), Units.METRIC, "", {})


@functools.cache
def steps() -> tuple[Step, ...]:
    return plan_steps(shelf(), Edition(Units.METRIC, "a4"), Solids(shelf()))


def number(words: str) -> int:
    return next(step.number for step in steps() if words in plain(step.title))


def letters(name: str) -> set[str]:
    return {part.letter for part in shelf().parts if part.name == name}


def test_it_is_finished_and_then_hung_with_the_makers_caution() -> None:
    last = steps()[-1]
    assert last.operations == ("hang",)
    assert number("Oil") == last.number - 1
    assert last.places == ("wall_strip",)
    (caution,) = last.of_maker
    assert "studs or masonry" in caution.says
    assert not any(step.of_maker for step in steps()[:-1])
    assert last.picture is not None
    assert last.picture.from_behind


def test_the_line_on_the_wall_is_where_the_strip_ends() -> None:
    # panel 18: the rail (72) is under the top (18); the back laps it by 6, the case strip begins a bevel (13.5) lower,
    # and the wall strip's upper edge lies 2 * 13.5 - 18 = 9 above that: 600 - (600 - 90 + 6 - 13.5 + 9) = 88.5
    text = plain(" ".join(steps()[-1].actions))
    assert "88 below where the top" in text
    assert "does not rock" not in " ".join(plain(step.check) for step in steps())


def test_pins_are_marked_from_finished_tails() -> None:
    assert number("joints of the drawer sides") < number("joints of the drawer front")
    assert number("joints of the drawer sides") < number("joints of the drawer back")


def test_the_case_is_put_together_sideways_and_its_back_comes_last() -> None:
    text = plain(" ".join(steps()[number("Put the case together") - 1].actions))
    (back,) = letters("back")
    assert text.index("from the right") < text.index("from behind") <= text.rindex(f"Bring in {back} from behind")


def test_the_drawer_is_set_in_from_the_front() -> None:
    step = steps()[number("Set the drawer in place") - 1]
    assert "from the front" in plain(step.actions[0])
    assert step.places == ()  # its pieces came to the work when the drawer was glued


def test_panels_are_sawn_and_rough_wood_is_ripped_where_it_is_planed() -> None:
    square = plain(" ".join(steps()[number("Saw panels to width") - 1].actions))
    assert "194 wide for" in square  # 200 deep less 6 of edging
    milled = [plain(a) for step in steps() if step.title.startswith("Plane the wood") for a in step.actions]
    assert any(a.startswith("Rip strips 90 wide") for a in milled)
    assert not any("Rip strips" in plain(a) for step in steps() if "to length" in step.title for a in step.actions)


def test_a_large_chamfer_is_sawn() -> None:
    text = plain(" ".join(steps()[number("Shape the hanging strip") - 1].actions))
    assert text.startswith("Bevel the edge between")
    assert "13.5 off each side, the saw tilted to 45°" in text

"""Remarks of the parts table, from the model."""

from __future__ import annotations

from attrs import evolve

from planpress.pages.remarks import remark, remarks
from tests.plans import solved_stand


def words(letter: str) -> tuple[str, ...]:
    return tuple(one.replace("\xa0", " ") for one in remarks(solved_stand().part(letter)))


def test_remarks_of_the_demo() -> None:
    assert words("A") == ("3 notches, lower edge",)
    assert words("B") == ("9 notches, upper edge",)
    assert words("C")[1:] == ("ends cut 6°, parallel",)
    assert words("D") == ("mirror image of C",)
    assert words("E")[0] == "ends cut 6°, long edge given"
    assert words("F")[0] == "fit in place"


def test_they_follow_the_plan() -> None:
    plan = solved_stand(bearers="4", slats="7", splay="4 deg")
    assert remarks(plan.part("A"))[0].startswith("4\xa0notches")
    assert remarks(plan.part("B"))[0].startswith("7\xa0notches")
    assert "ends cut 4°, parallel" in remarks(plan.part("C"))


def test_the_makers_own_remark_comes_first_and_others_follow_as_there_is_room() -> None:
    part = evolve(solved_stand().part("A"), remark="plane after gluing")
    assert remark(part, 200.0) == "plane after gluing; 3\xa0notches, lower edge"
    assert remark(part, 40.0) == "plane after gluing"


def test_one_oblique_end_is_told_as_such() -> None:
    leg = solved_stand().part("C")
    square = solved_stand().part("A").ends[1]
    assert "one end cut 6°" in remarks(evolve(leg, ends=(leg.ends[0], square)))
    assert not any("cut" in one for one in remarks(evolve(leg, ends=(square, square))))

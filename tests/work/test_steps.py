"""Steps of the demo: every part and fastener used once, sizes from the model, words in their places, same every run."""

from __future__ import annotations

import math
import os
import re
import subprocess
import sys
from collections import Counter

import pytest

from planpress.base.edition import Edition
from planpress.base.lettering import plain
from planpress.base.printing import NO_BREAK, Units
from planpress.work.facts import edge_lengths
from planpress.work.steps import Step, plan_steps
from tests.plans import ROOT, small_plan, solved_stand

PAPER = {Units.IMPERIAL: "letter", Units.METRIC: "a4"}


def stand_steps(units: Units) -> tuple[Step, ...]:
    """The demo's steps."""
    return plan_steps(solved_stand(units), Edition(units, PAPER[units]))


def step_titled(units: Units, words: str) -> Step:
    """The step whose title begins with some words."""
    return next(step for step in stand_steps(units) if step.title.startswith(words))


def text_of(step: Step) -> str:
    """All words of a step, fractions spelled out."""
    lines = [step.title, step.reason, step.parts, *step.tools, step.time, step.caution, *step.actions, step.check]
    return plain("\n".join(lines)).replace(NO_BREAK, " ")


@pytest.mark.parametrize("units", list(Units))
def test_every_piece_comes_to_the_work_once_and_every_fastener_is_used_once(units: Units) -> None:
    plan, steps = solved_stand(units), stand_steps(units)
    assert Counter(p for s in steps for p in s.places) == Counter(list(plan.pieces))
    bought = [f"{f.letter}[{i}]" for f in plan.fasteners for i in range(f.count)]
    assert Counter(f for s in steps for f in s.fasteners) == Counter(bought)


@pytest.mark.parametrize("units", list(Units))
def test_the_stand_takes_ten_to_sixteen_steps_that_refer_back_only(units: Units) -> None:
    steps = stand_steps(units)
    assert 10 <= len(steps) <= 16
    assert [s.number for s in steps] == list(range(1, len(steps) + 1))
    for step in steps:
        assert all(n < step.number for n in step.waits_for)
        told = [int(n) for n in re.findall(r"\d+", step.reason.split(", because")[0])]
        assert set(told) <= set(step.waits_for)
        assert bool(told) == (step.number > 1)


@pytest.mark.parametrize("units", list(Units))
def test_each_step_names_parts_tools_an_action_and_a_check(units: Units) -> None:
    known = {p.letter for p in solved_stand(units).parts} | {f.letter for f in solved_stand(units).fasteners}
    for step in stand_steps(units):
        assert step.parts
        assert step.tools
        assert len(step.actions) >= 2
        assert step.check.endswith(".")
        assert set(step.letters) <= known
        assert all(a.endswith(".") for a in step.actions)


def test_parts_that_are_measured_from_the_work_are_cut_after_it_stands() -> None:
    steps = stand_steps(Units.IMPERIAL)
    fitted = next(s for s in steps if "fit F" in s.operations)
    frames = next(s for s in steps if "join frame" in s.operations)
    assert fitted.number > frames.number
    assert "Do not cut F from the parts table" in fitted.caution
    assert not any("F" in s.letters for s in steps if s.title.startswith("Cut"))


def test_running_places_and_depths_come_from_the_model_in_both_unit_systems() -> None:
    imperial = text_of(step_titled(Units.IMPERIAL, "Notch the slats"))
    assert "6, 19 5/8 and 33 1/4 from the reference end" in imperial
    assert "depth of cut to 3/4, half the width" in imperial
    metric = text_of(step_titled(Units.METRIC, "Notch the slats"))
    assert "150, 491 and 832 from the reference end" in metric
    assert "depth of cut to 19, half the width" in metric
    longer = solved_stand(Units.IMPERIAL, "", top_length="52 in")
    steps = plan_steps(longer, Edition(Units.IMPERIAL, "letter"))
    notching = next(s for s in steps if s.title == "Notch the slats")
    assert "6, 25 5/8 and 45 1/4 from" in text_of(notching)


def test_the_test_notch_comes_before_the_first_real_one_in_its_step() -> None:
    step = step_titled(Units.IMPERIAL, "Notch the slats")
    assert step.operations.index("test lattice") < step.operations.index("notch A lattice")
    first, marking = (plain(a).replace(NO_BREAK, " ") for a in step.actions[:2])
    assert first.index("depth of cut to 3/4") < first.index("Cut a test notch")
    assert "Cut all pieces at one stop" in marking


def test_drills_are_stock_sizes_and_stops_keep_the_drill_inside() -> None:
    screwing = step_titled(Units.IMPERIAL, "Screw the frames to the top")
    words = text_of(screwing)
    assert "11/64 and 3/32 bits" in words
    assert "Drill each mark 3/32, 1 deep" in words
    assert "3rd, 5th and 7th A, counted from the front" in words
    assert words.index("depth stop on the bit at 1") < words.index("Drill each mark")
    assert "4.5 and 2.5 bits" in text_of(step_titled(Units.METRIC, "Screw the frames to the top"))


def test_oily_rags_and_open_time_are_warned_of_before_the_action() -> None:
    assert "catch fire" in step_titled(Units.IMPERIAL, "Oil").caution
    glue = step_titled(Units.IMPERIAL, "Glue the top")
    assert "10 min (the label prevails)" in plain(glue.caution).replace(NO_BREAK, " ")
    assert "in the clamps" in glue.time
    assert "1 day without load" in plain(glue.time).replace(NO_BREAK, " ")


def test_pictures_show_pieces_once_and_move_only_what_they_show() -> None:
    plan = solved_stand()
    shown = [s for s in stand_steps(Units.IMPERIAL) if s.picture is not None]
    assert len(shown) >= 8
    for step in shown:
        picture = step.picture
        assert picture is not None
        pieces = [*picture.new, *picture.met, *picture.earlier]
        assert len(pieces) == len(set(pieces))
        assert set(pieces) <= set(plan.pieces)
        assert set(picture.in_motion) <= {*picture.new, *picture.fasteners}
        assert (picture.direction is None) == (not picture.in_motion)


def test_screwing_from_below_turns_the_picture_over() -> None:
    picture = step_titled(Units.IMPERIAL, "Screw the frames").picture
    assert picture is not None
    assert picture.turned_over
    assert picture.fasteners == tuple(f"J[{i}]" for i in range(6))
    glueing = step_titled(Units.IMPERIAL, "Glue the top").picture
    assert glueing is not None
    assert not glueing.turned_over
    assert glueing.direction == (0, 0, -1)


LOOSE = """
parameters: {long: {value: 20 in}}
materials: {wood: {form: board, species: white oak, thickness: 1 in, width: 2 in}}
parts:
  post: {material: wood, length: long, place: {corner: [0 in, 0 in, 0 in], length: +z, width: +x}}
  arm: {material: wood, length: long, place: {corner: [0 in, 1 in, 4 in], length: +x, width: +z}}
joints:
  hold: {kind: screw, through: arm, into: post, gauge: 8, length: 1-3/4 in, count: 1, material: steel}
"""


def test_pieces_of_no_assembly_that_only_screws_hold_are_placed_by_the_screws() -> None:
    plan = small_plan(LOOSE)
    steps = plan_steps(plan, Edition(Units.IMPERIAL, "letter"))
    assert Counter(p for s in steps for p in s.places) == Counter(list(plan.pieces))
    placing = [s for s in steps if s.places]
    assert [s.title for s in placing] == ["Screw A to B" if plan.parts[0].name == "arm" else "Screw B to A"]
    assert not any("glue" in text_of(s).lower() for s in steps)


def test_the_same_plan_gives_the_same_steps_whatever_the_hash_seed() -> None:
    script = (
        "from tests.work.test_steps import stand_steps; from planpress.base.printing import Units;"
        "import hashlib; print(hashlib.sha256(repr([stand_steps(u) for u in Units]).encode()).hexdigest())"
    )
    seen = set()
    for seed in ("0", "1", "4242"):
        done = subprocess.run(
            [sys.executable, "-c", script],
            cwd=ROOT,
            env={**os.environ, "PYTHONHASHSEED": seed},
            capture_output=True,
            text=True,
            check=True,
        )
        seen.add(done.stdout)
    assert len(seen) == 1


@pytest.mark.parametrize("units", list(Units))
def test_the_depth_stop_for_the_pins_is_the_depth_of_their_holes(units: Units) -> None:
    """Through the first member and on: not the dowel's length, which stands out until it is trimmed."""
    plan = solved_stand(units)
    edition = Edition(units, "letter")
    step = next(s for s in plan_steps(plan, edition) if s.title.startswith("Pin"))
    (hole,) = {h for h in plan.part("C").in_place_holes if h.depth is not None}
    assert hole.depth is not None
    deep = plain(edition.joint(plan.part("F").thickness + hole.depth))
    assert any(f"bit to {deep}. Drill" in plain(a).replace("\u00a0", " ") for a in step.actions), step.actions


@pytest.mark.parametrize("units", list(Units))
def test_a_dry_fit_goes_before_the_glue_with_the_same_clamps(units: Units) -> None:
    steps = stand_steps(units)
    dry, glue = (next(s for s in steps if s.title.startswith(words)) for words in ("Put the top", "Glue the top"))
    assert dry.number < glue.number
    assert [t for t in dry.tools if "clamp" in t] == [t for t in glue.tools if "clamp" in t]
    frames = next(s for s in steps if s.title == "Glue the frames")
    words = " ".join(frames.actions)
    assert words.index("no glue") < words.index("Brush glue")


@pytest.mark.parametrize("units", list(Units))
def test_a_step_that_builds_two_copies_lists_clamps_for_both(units: Units) -> None:
    """One clamp on each lap of a frame, two laps a frame, both frames glued in one go."""
    plan = solved_stand(units)
    laps = sum(j.joint == "rail_laps" for j in plan.joints)
    (clamps,) = (t for t in step_titled(units, "Glue the frames").tools if "clamp" in t)
    assert plain(clamps).startswith(f"{laps} clamps")


def test_marks_of_fitted_parts_are_measured_before_they_are_sawn() -> None:
    plan = solved_stand(Units.IMPERIAL)
    step = step_titled(Units.IMPERIAL, "Fit and glue")
    words = plain(" ".join(step.actions)).replace(NO_BREAK, " ")
    longest = plain(Edition(Units.IMPERIAL, "letter").length(edge_lengths(plan.part("F"))[1])).replace(NO_BREAK, " ")
    assert words.index(f"marks should lie {longest} apart") < words.index("Saw just outside")


def test_hazards_of_the_saw_are_told_before_every_length_is_cut() -> None:
    square, angled = (s for s in stand_steps(Units.IMPERIAL) if s.title.startswith("Cut "))
    assert "rip fence" in square.caution
    assert "fingers 3 away" in plain(angled.caution).replace(NO_BREAK, " ")


@pytest.mark.parametrize("units", list(Units))
def test_words_are_short_enough_for_two_steps_on_a_page(units: Units) -> None:
    """Two steps share a page if neither has more than 12 lines of actions of about 42 characters (our layout)."""
    shown = [s for s in stand_steps(units) if s.picture is not None]
    lines = {s.title: sum(-(-len(plain(a)) // 42) for a in s.actions) for s in shown}
    assert all(count <= 12 for count in lines.values()), lines
    assert all(len(plain(s.caution)) <= 100 for s in shown)


SPLAYED = """
planes: {floor: z = 0 mm, underside: z = 400 mm}
materials:
  square: {form: board, species: white oak, thickness: 36 mm, width: 36 mm}
parts:
  leg:
    material: square
    place: {from: [x * 200 mm, y * 200 mm, 0 mm], lean: {x: -x * 24 deg, y: -y * 30 deg}, rise: 400 mm, width: +x}
    repeat: {x: [-1, 1], y: [-1, 1]}
    trim: {start: floor, end: underside}
"""


def test_the_saw_is_set_to_the_tilt_of_the_blade_not_to_the_bevel_on_the_edge() -> None:
    """tan(tilt) = tan(bevel) cos(mitre), worked out with ordinary floats."""
    plan = small_plan(SPLAYED)
    end = plan.parts[0].ends[0]
    mitre, bevel = (abs(math.radians(float(a))) for a in (end.mitre, end.bevel))
    tilt = math.degrees(math.atan(math.tan(bevel) * math.cos(mitre)))
    assert abs(tilt - math.degrees(bevel)) > 2
    words = "\n".join(text_of(step) for step in plan_steps(plan, Edition(Units.METRIC, "a4")))
    found = re.search(r"[Ss]et the saw to ≈ ([\d.]+)° across and ≈ ([\d.]+)° tilted", words)
    assert found is not None
    assert [float(found[1]), float(found[2])] == pytest.approx([math.degrees(mitre), tilt], abs=0.26)

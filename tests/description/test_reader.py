"""From text to records: the demo plan, defaults, and every kind of fault with its words and place."""

from __future__ import annotations

import pytest

from planpress.base.diagnostics import Findings, PlanFaults, Severity
from planpress.base.quantities import degrees, inches, mm
from planpress.description import read_description
from planpress.description.heading_section import contrast_on_white
from planpress.description.records import (
    ButtJoint,
    CornerPlacement,
    DowelJoint,
    LapJoint,
    LinePlacement,
    Material,
    NamedFormula,
    Parameter,
    Part,
    Plane,
    ScrewJoint,
    Size,
    TextByUnits,
)
from tests.description.plans import DEMO, SMALL, faults, marked, read, small, told


def test_the_demo_plan() -> None:
    plan = read_description(DEMO.read_text(encoding="utf-8"), "plan.yaml")
    assert (plan.title, plan.maker, plan.version, plan.date) == (
        "Seedling stand",
        "Demo Workshop",
        "1.0.0",
        "2026-05-12",
    )
    assert "{{ slats | words | capitalize }} slats on edge" in plan.introduction
    assert [part.name for part in plan.parts] == ["slat", "bearer", "leg", "rail", "spreader"]
    assert [material.name for material in plan.materials] == ["stick", "square"]
    assert [joint.name for joint in plan.joints] == ["lattice", "rail_laps", "spreader_laps", "pins", "fixing"]
    assert [type(joint) for joint in plan.joints] == [LapJoint, LapJoint, LapJoint, DowelJoint, ScrewJoint]
    slat, _, leg, rail, spreader = plan.parts
    assert isinstance(slat.placement, CornerPlacement)
    assert [formula.text for formula in slat.placement.corner] == ["0 in", "row * pitch", "underside"]
    assert (slat.placement.length, slat.placement.width) == ("+x", "+z")
    assert slat.repeat[0].variable == "row"
    assert slat.repeat[0].count is not None
    assert slat.repeat[0].count.text == "slats"
    assert isinstance(leg.placement, LinePlacement)
    assert leg.length is None
    assert [formula.text for formula in leg.repeat[0].values] == ["-1", "1"]
    assert leg.trim_start is not None
    assert (leg.trim_start.how, leg.trim_start.target.text) == ("plane", "floor")
    assert rail.trim_end is not None
    assert (rail.trim_end.how, rail.trim_end.target.text) == ("flush", "leg")
    assert (rail.fit_in_place, spreader.fit_in_place) == (False, True)
    top, frame = plan.assemblies
    assert top.placements == ()
    assert [placement.turn_axis for placement in frame.placements] == ["z", "z"]
    turn = frame.placements[1].turn
    assert turn is not None
    assert turn.value({}) == degrees(180)
    pins, fixing = plan.joints[3:]
    assert isinstance(pins, DowelJoint)
    assert pins.through
    assert [name.text for name in pins.between] == ["spreader", "leg"]
    assert (pins.diameter.imperial.value({}), pins.diameter.metric.value({})) == (inches("1/4"), mm(6))
    assert isinstance(fixing, ScrewJoint)
    assert (fixing.head, fixing.material) == ("countersunk", "steel, coated")
    assert plan.finish is not None
    assert plan.finish.product == "exterior oil"


def test_places_of_records_are_those_of_their_names() -> None:
    lines = DEMO.read_text(encoding="utf-8").split("\n")
    plan = read_description("\n".join(lines), "plan.yaml")
    named: tuple[Parameter | NamedFormula | Size | Plane | Material | Part, ...]
    named = (*plan.parameters, *plan.formulas, *plan.sizes, *plan.planes, *plan.materials, *plan.parts)
    places = [(record.name, record.place) for record in named]
    places += [(assembly.name, assembly.place) for assembly in plan.assemblies]
    places += [(joint.name, joint.place) for joint in plan.joints]
    for name, place in places:
        assert lines[place.line - 1][place.column - 1 :].startswith(f"{name}:")


def test_places_of_formulas_are_those_of_their_texts() -> None:
    lines = DEMO.read_text(encoding="utf-8").split("\n")
    plan = read_description("\n".join(lines), "plan.yaml")
    formulas = [item.formula for item in plan.formulas] + [item.that for item in plan.requirements]
    for part in plan.parts:
        if isinstance(part.placement, CornerPlacement):
            formulas += part.placement.corner
        elif isinstance(part.placement, LinePlacement):
            formulas += [*part.placement.start, *part.placement.end]
    assert len(formulas) > 20
    for formula in formulas:
        place = formula.place
        assert lines[place.line - 1][place.column - 1 :].startswith(formula.text)


def test_defaults() -> None:
    plan = read(SMALL)
    assert plan.introduction == ""
    assert plan.introduction_place is None
    assert plan.skill is None
    assert plan.finish is None
    assert plan.accent == "#2E6A4C"
    assert plan.version == "1.10"
    assert [part.label for part in plan.parts] == ["Slat", "Leg"]
    assert plan.materials[0].label == "Stick"
    thick = plan.parameters[1]
    assert (thick.value.text, thick.metric, thick.low, thick.high) == ("3/4 in", None, None, None)
    assert plan.requirements == plan.sizes == plan.assemblies == ()


def test_labels_come_from_names_unless_given() -> None:
    plan = read(small(("  leg:\n", "  back_leg:\n    remark: stands behind\n"), ("[slat, leg]", "[slat, back_leg]")))
    assert (plan.parts[1].label, plan.parts[1].remark) == ("Back leg", "stands behind")
    plan = read(small(("  leg:\n", '  leg:\n    label: "Front leg"\n')))
    assert plan.parts[1].label == "Front leg"


def test_values_for_both_unit_systems_or_one() -> None:
    plan = read(small(("1-1/2 in}", "1-1/2 in, sold_as: 1x2, lengths: [6 ft, 8 ft]}")))
    [stick] = plan.materials
    assert stick.sold_as == TextByUnits("1x2", "1x2")
    assert stick.lengths_imperial == stick.lengths_metric
    plan = read(small(("1-1/2 in}", "1-1/2 in, lengths: {imperial: [6 ft], metric: [1800 mm, 2400 mm]}}")))
    assert [formula.text for formula in plan.materials[0].lengths_metric] == ["1800 mm", "2400 mm"]


def test_one_place_of_an_assembly_needs_no_list() -> None:
    text = "\nassemblies:\n  frame: {parts: [leg], place: {at: [1 in, 0 in, 0 in], turn: 90 deg about x, mirror: y}}\n"
    [frame] = read(SMALL + text).assemblies
    [placement] = frame.placements
    assert (placement.turn_axis, placement.mirror) == ("x", "y")


def test_kinds_of_joints() -> None:
    plan = read(
        SMALL
        + """\
  feet: {kind: butt, between: [slat, leg]}
  pegs: {kind: dowel, between: [slat, leg], diameter: 8 mm, depth_first: 1 in, count: 2,
         depth: {imperial: 1 in, metric: 25 mm}}
  plugs: {kind: screw, through: slat, into: leg, gauge: 8, length: 2 in, head: plugged, sink: 3/8 in, count: 2}
  lap: {kind: end lap, between: [leg, slat], depth: thick / 2, fit: 1/64 in}
"""
    )
    _, feet, pegs, plugs, lap = plan.joints
    assert isinstance(feet, ButtJoint)
    assert not feet.glue
    assert isinstance(pegs, DowelJoint)
    assert not pegs.through
    assert pegs.depth_first is not None
    assert pegs.depth_first.metric.text == "1 in"
    assert isinstance(plugs, ScrewJoint)
    assert (plugs.head, plugs.material) == ("plugged", "steel")
    assert isinstance(lap, LapJoint)
    assert (lap.kind, lap.let_into) == ("end lap", None)


def test_many_faults_in_one_run() -> None:
    text = small(
        ("thick: 3/4 in", "thick: 3/4 im"),
        ("pitch: 2 * thick", "pitch: long + slats"),
        ("length: long", "lenght: long"),
        ("row * pitch", "rwo * long"),
        ("material: stick\n    place: {from", "material: stik\n    place: {from"),
        ("start: floor", "start: flor"),
        ("[slat, leg]", "[slat, legs]"),
    )
    assert told(text) == [
        "8:14 unknown unit 'im'",
        "11:15 'long' is a length and 'slats' is a count; they cannot be added",
        "19:5 unknown key 'lenght' in part 'slat'",
        "20:28 unknown name 'rwo'",
        "23:15 unknown material 'stik'",
        "25:19 unknown plane 'flor'",
        "27:43 unknown part 'legs'",
    ]
    assert [item.hint for item in faults(text)][2:] == [
        "did you mean 'length'?",
        "did you mean 'row'?",
        "did you mean 'stick'?",
        "did you mean 'floor'?",
        "did you mean 'leg'?",
    ]


@pytest.mark.parametrize(
    ("old", "new", "expected"),
    [
        ("planpress: 1\n", "^", "the key 'planpress' is missing in the plan"),
        ("planpress: 1", "planpress: ^2", "the plan is written for format 2"),
        ("title: Bench", "title:^", "'title' of the plan has no value"),
        ("title: Bench", 'title: ^""', "'title' of the plan has no value"),
        ("title: Bench", "title: ^[Bench]", "'title' of the plan is a list"),
        ("version: 1.10", "version: ^first one", "the version is 'first one'"),
        ("2026-05-12", "^2026-02-29", "the date is '2026-02-29'"),
        ("2026-05-12", "^12 May 2026", "the date is '12 May 2026'"),
        ("parameters:", "accent:^ #2E6A4C\nparameters:", "'accent' of the plan has no value"),
        ("parameters:", "accent: ^green\nparameters:", "the accent is 'green'"),
        ("parameters:", "skill: ^easy\nparameters:", "'skill' is 'easy'"),
        ("parameters:", "skill: {^sais: easy}\nparameters:", "unknown key 'sais' in 'skill'"),
        ("parameters:", "^work: none\nparameters:", "unknown key 'work' in the plan"),
        ("metric: 1000 mm", "metric: ^1000 deg", "'1000 deg' is an angle"),
        ("metric: 1000 mm", "metric: ^100 mm", "'long' is 100 mm, outside its range"),
        ("[24 in, 60 in]", "[39-1/2 in, 60 in]", "7:32 'long' is 1000 mm, outside its range"),
        ("[24 in, 60 in]", "[^60 in, 24 in]", "the range of 'long' begins above its end"),
        ("[24 in, 60 in]", "^[24 in]", "'range' of parameter 'long' has 1 values"),
        ("[24 in, 60 in]", "^24 in", "'range' of parameter 'long' is '24 in'"),
        ("thick: 3/4 in", "thick: ^long / 50", "parameter 'thick' uses the name 'long'"),
        ("thick: 3/4 in", "thick:^", "parameter 'thick' has no value"),
        ("thick: 3/4 in", "^thick: {metric: 18 mm}", "the key 'value' is missing in parameter 'thick'"),
        ("thick: 3/4 in", "thick: {value: 1 in, measured: ^yes}", "'measured' of parameter 'thick' is 'yes'"),
        ("thick: 3/4 in", "thick: {value: 3/4 in, note: dry, ^planed}", "unknown key 'planed' in parameter 'thick'"),
        ("pitch: 2 * thick", "pitch: 2 * thick\n  ^thick: 2 in",
         "the formula 'thick' has the name of the parameter in line 8"),
        ("pitch: 2 * thick", "pitch: 2 * thick\n  ^h: 1 in", "'h' cannot be the name of a formula: it is a unit"),
        ("pitch: 2 * thick", "pitch: 2 * thick\n  ^max: 1", "'max' cannot be the name of a formula: it is a function"),
        ("formulas:", "  ^note: 3\nformulas:", "'note' cannot be the name of a parameter: it is a key of sizes"),
        ("pitch: 2 * thick", "pitch: 2 * thick\n  ^a b: 1", "'a b' cannot be the name of a formula"),
        ("pitch: 2 * thick", "pitch: 2 * thick\n  a: ^long < 1 in", "'long < 1 in' is a comparison"),
        ("pitch: 2 * thick", "pitch: ^thick + pitch / 2", "pitch (line 11) needs pitch"),
        ("planes:", "sizes: {small: {^lon: 30 in}}\nplanes:", "unknown key 'lon' in size 'small'"),
        ("planes:", "sizes: {small: {long: ^30}}\nplanes:", "'30' is a count"),
        ("planes:", "sizes: {small: {long: ^20 in}}\nplanes:", "'long' is 20 in, outside its range"),
        ("planes:", "require:\n  - ^{that: long > 1 in}\nplanes:", "the key 'or_else' is missing in the requirement"),
        ("planes:", "require:\n  - {that: ^long, or_else: bad}\nplanes:", "'long' is a length"),
        ("planes:", "require: ^{that: 1}\nplanes:", "'require' is a mapping"),
        ("z = 0 in", "z = ^0", "'0' is a count"),
        ("z = 0 in", "^at the floor", "plane 'floor' is 'at the floor'"),
        ("z = 0 in", "z = 0 in + ^q", "unknown name 'q'"),
        ("form: board", "form: ^bord", "'form' of material 'stick' is 'bord'"),
        (", width: 1-1/2 in", "", "15:3 the key 'width' is missing in material 'stick': boards are sold in one width"),
        ("thickness: thick,", "thickness: ^slats,", "'slats' is a count"),
        ("material: stick\n    length", "material: ^leg\n    length", "unknown material 'leg'"),
        ("    length: long\n", "",
         "17:3 the key 'length' is missing in part 'slat': a part placed by its corner needs one"),
        ("row * pitch, 1 in]", "row * pitch]", "20:21 'corner' of the place of part 'slat' has 2 values"),
        ("row * pitch, 1 in]", "max(1 in, pitch), 1 in]", "20:21 'corner' of the place of part 'slat' has 4 values"),
        ("length: +x", "length: ^x", "'length' of the place of part 'slat' is 'x'"),
        ("width: +y", "width: ^-x", "length and width of part 'slat' both run along x"),
        ("repeat: {row: slats}", "repeat: {row: ^long}", "'long' is a length"),
        ("repeat: {row: slats}", "repeat: {row: ^[]}", "repeat 'row' of part 'slat' has no values"),
        ("    trim:", "    repeat: ^4\n    trim:", "'repeat' of part 'leg' is not a mapping"),
        ("repeat: {row: slats}", "repeat: {row: slats, ^thick: 2}", "the variable 'thick' has the name of a parameter"),
        ("[0 in, 0 in, long]", "[0 in, ^row, long]", "unknown name 'row'"),
        ("place: {from", "^length: 3 in\n    place: {from",
         "the key 'length' does not belong in part 'leg': "
         "it follows from where the part begins and ends ('from', 'to')"),
        ("end: flush with slat", "end: flush with ^salt", "unknown part 'salt'"),
        ("end: flush with slat", "end: against ^leg", "the part 'leg' cannot be cut by itself"),
        ("end: flush with slat", "end: ^slat", "'slat' is a part, not a plane"),
        ("kind: cross lap", "kind: ^cros lap", "unknown kind of joint 'cros lap'"),
        ("kind: cross lap, ", "",
         "27:3 the key 'kind' is missing in joint 'laps': one of cross lap, edge lap, end lap, corner lap, housing, "
            "rabbet, groove, mortise and tenon, bridle, finger joint, dovetail, mitre, edge glue-up, butt, dowel, "
            "screw"),
        ("[slat, leg]", "^[slat]", "'between' of joint 'laps' (cross lap) has 1 names"),
        ("[slat, leg]", "[slat, ^slat]", "joint 'laps' (cross lap) names 'slat' twice"),
        ("glue: true", "glue: ^yes", "'glue' of joint 'laps' (cross lap) is 'yes'"),
        ("glue: true", "^through: leg", "unknown key 'through' in joint 'laps' (cross lap)"),
        ("glue: true", "let_into: leg, ^depth: 1 in",
         "the key 'depth' does not belong in joint 'laps' (cross lap): "
         "'let_into' says that one part is notched by the full depth of the other"),
        ("glue: true", "let_into: ^stick", "unknown part 'stick'"),
    ],
)  # fmt: skip
def test_one_fault(old: str, new: str, expected: str) -> None:
    """Exactly this fault, at the marker ^: nothing that only follows from it."""
    text, expected = marked(small((old, new)), expected)
    assert told(text) == [expected]


@pytest.mark.parametrize(
    ("joint", "expected"),
    [
        ("{kind: screw, through: slat, into: leg, gauge: 8, length: 2 in, count: 2, ^sink: 1 in}",
         "the key 'sink' does not belong in joint 'x' (screw): a countersunk head lies flush"),
        ("{kind: screw, through: slat, into: leg, gauge: 8, length: 2 in, count: 2, head: plugged}",
         "28:3 the key 'sink' is missing in joint 'x' (screw): a plugged screw lies below the surface"),
        ("{kind: dowel, between: [slat, leg], diameter: 8 mm, depth: 1 in, count: 2}",
         "28:3 the key 'depth_first' is missing in joint 'x' (dowel)"),
        ("{kind: dowel, through: slat, into: leg, diameter: 8 mm, depth: 1 in, ^depth_first: 1 in, count: 2}",
         "the key 'depth_first' does not belong in joint 'x' (dowel): these dowels go through their first part"),
        ("{kind: dowel, through: slat, into: leg, diameter: ^{imperial: 1/4 in}, depth: 1 in, count: 2}",
         "the key 'metric' is missing in 'diameter' of joint 'x' (dowel)"),
        ("{kind: dowel, through: slat, into: leg, diameter: 1/4 in, depth: 1 in, count: ^2 in}",
         "'2 in' is a length"),
        ("{kind: housing, let_in: slat}", "28:3 the key 'into' is missing in joint 'x' (housing)"),
        ("{kind: rabbet, let_in: slat, into: ^slat}", "joint 'x' (rabbet) names 'slat' twice"),
        ("{kind: rabbet, let_in: slat, into: leg, ^room: 1 mm}",
         "the key 'room' does not belong in joint 'x' (rabbet): only a panel in a groove needs room to move"),
        ("{kind: groove, let_in: slat, into: leg, room: 1 mm, ^glue: true}",
         "the key 'glue' does not belong in joint 'x' (groove): a panel with room to move lies loose in its groove"),
        ("{kind: housing, let_in: slat, into: leg, stop: {^up: 1 in}}",
         "unknown key 'up' in 'stop' of joint 'x' (housing)"),
        ("{kind: housing, let_in: slat, into: leg, stop: {-y: ^2}}", "'2' is a count"),
    ],
)  # fmt: skip
def test_one_fault_of_a_joint(joint: str, expected: str) -> None:
    text, expected = marked(f"{SMALL}  x: {joint}\n", expected)
    assert told(text) == [expected]


@pytest.mark.parametrize(
    ("assembly", "expected"),
    [
        ("{parts: [leg, ^leg]}", "the part 'leg' is in assembly 'frame' already"),
        ("{parts: [^legs]}", "unknown part 'legs'"),
        ("{parts: [leg], place: {turn: ^90 about z}}", "'90' is a count"),
        ("{parts: [leg], place: {turn: ^90 deg}}", "'turn' of a place of assembly 'frame' is '90 deg'"),
        ("{parts: [leg], place: {mirror: ^w}}", "'mirror' of a place of assembly 'frame' is 'w'"),
        ("{^part: [leg]}", "unknown key 'part' in assembly 'frame'"),
    ],
)
def test_one_fault_of_an_assembly(assembly: str, expected: str) -> None:
    text, expected = marked(f"{SMALL}assemblies: {{frame: {assembly}}}\n", expected)
    assert told(text) == [expected]


def test_part_needs_a_width_that_its_material_lacks() -> None:
    text = small(("form: board", "form: sheet"), (", width: 1-1/2 in", ""))
    assert told(text) == [
        "17:3 the key 'width' is missing in part 'slat': its material 'stick' has no width",
        "22:3 the key 'width' is missing in part 'leg': its material 'stick' has no width",
    ]


def test_faults_inside_folded_and_quoted_formulas() -> None:
    text = small(("pitch: 2 * thick", 'pitch: >-\n    thick *\n    thinn\n  b: "1 in +\n    slatz"'))
    assert told(text) == ["13:5 unknown name 'thinn'", "15:5 unknown name 'slatz'"]


def test_hints() -> None:
    def hint(*change: tuple[str, str]) -> str:
        [fault] = faults(small(*change))
        return fault.hint

    assert hint(("parameters:", "accent: #2E6A4C\nparameters:")) == "put a text with # in quotes"
    assert (
        hint(("thick: 3/4 in", "thick: {value: 3/4 in, note: dry, planed}"))
        == "in { }, put quotes around a value that has a comma in it"
    )
    assert (
        hint(("row * pitch, 1 in]", "max(1 in, pitch), 1 in]")) == "put quotes around a formula that has a comma in it"
    )
    assert hint(("end: flush with slat", "end: slat")) == "to cut by a part, write: flush with slat, or: against slat"
    assert hint(("material: stick\n    length", "material: leg\n    length")) == "'leg' is the name of a part"
    assert hint(("pitch: 2 * thick", "pitch: 2 * thick\n  a b: 1")) == "perhaps a_b"


# Contrast ratios on white, from memory, as the usual calculators give them: black 21, #777777 4.48, #767676 4.54.
@pytest.mark.parametrize(
    ("colour", "ratio"), [("#000000", 21.0), ("#FFFFFF", 1.0), ("#777777", 4.48), ("#767676", 4.54)]
)
def test_contrast(colour: str, ratio: float) -> None:
    assert contrast_on_white(colour) == pytest.approx(ratio, abs=0.005)


def test_accent_must_be_readable() -> None:
    assert read(small(("parameters:", 'accent: "#767676"\nparameters:'))).accent == "#767676"
    [fault] = faults(small(("parameters:", 'accent: "#777777"\nparameters:')))
    assert fault.message == "the accent #777777 has a contrast of 4.47:1 on white"
    assert (fault.expected, fault.hint) == ("at least 4.5:1", "choose a darker colour")


def test_long_title_warns_only() -> None:
    findings = Findings()
    plan = read_description(small(("title: Bench", "title: A bench for two in the shade")), "plan.yaml", findings)
    assert plan.title == "A bench for two in the shade"
    [warning] = findings.items
    assert warning.severity is Severity.WARNING
    assert warning.message == "the title has 28 characters; it will be shortened at the foot of the pages"


def test_faults_are_in_the_order_of_the_file_and_name_it() -> None:
    with pytest.raises(PlanFaults) as raised:
        read_description(small(("z = 0 in", "z = 0"), ("title: Bench", "titel: Bench")), "projects/bench.yaml")
    places = [item.place for item in raised.value.diagnostics if item.place]
    assert [str(place) for place in places] == ["projects/bench.yaml:2:1", "projects/bench.yaml:13:14"]
    assert str(raised.value) == (
        "projects/bench.yaml:2:1: error: unknown key 'titel' in the plan [unknown-key]\n"
        "    expected: one of: planpress, title, maker, version, date, introduction, skill, accent, parameters, "
        "formulas, sizes, require, planes, materials, parts, assemblies, joints, finish, shop, cautions, hangs_by\n"
        "    mend: did you mean 'title'?\n"
        "projects/bench.yaml:13:14: error: '0' is a count [dimension]\n"
        "    expected: a length\n"
        "    mend: write the unit: in, mm"
    )

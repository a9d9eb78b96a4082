"""Shapes of parts: from text to records, and the words of their faults."""

from __future__ import annotations

import pytest

from planpress.description.records import LeanPlacement
from planpress.description.shape_records import Shape
from tests.description.plans import marked, read, small, told

LENGTH = "    length: long\n"


def shaped(keys: str) -> str:
    """The small plan whose slat gets more keys."""
    return small((LENGTH, LENGTH + "".join(f"    {line}\n" for line in keys.splitlines())))


def shape(keys: str) -> Shape:
    found = read(shaped(keys)).parts[0].shape
    assert found is not None
    return found


def test_a_part_without_these_keys_has_no_shape() -> None:
    assert read(small()).parts[0].shape is None


def test_an_outline() -> None:
    (outline,) = shape(
        "outline: {start: [0 in, 1 in], path: [{line: [length, 1 in]},"
        " {hollow: {to: [length / 2, width], rise: 1/8 in}}, {round: {to: [2 in, thickness], radius: 9 in}},"
        " {curve: {through: [[1 in, 1 in]], to: [0 in, 1 in]}}]}"
    ).outlines
    assert outline.on == "face"
    assert [f.text for f in outline.start] == ["0 in", "1 in"]
    assert [stroke.kind for stroke in outline.path] == ["line", "hollow", "round", "curve"]
    assert [stroke.to[0].text for stroke in outline.path] == ["length", "length / 2", "2 in", "0 in"]
    hollow, round_, curve = outline.path[1:]
    assert hollow.rise is not None
    assert hollow.radius is None
    assert round_.radius is not None
    assert round_.radius.text == "9 in"
    assert [p[0].text for p in curve.through] == ["1 in"]


def test_tapers() -> None:
    one, two = shape(
        "taper:\n"
        "  - {towards: end, width: 1 in, begins: 6 in, sides: [upper edge]}\n"
        "  - {towards: start, thickness: thickness / 2}"
    ).tapers
    assert (one.towards, one.sides, one.thickness) == ("end", ("upper edge",), None)
    assert (two.towards, two.sides, two.begins) == ("start", (), None)


def test_corners_and_edges() -> None:
    found = shape("corners: {radius: 1/2 in}\nedges: {long: {round: 1/8 in}, face upper: {chamfer: 1/16 in}}")
    (corners,) = found.corners
    assert corners.corners == (("start", "lower"), ("start", "upper"), ("end", "lower"), ("end", "upper"))
    assert [(cut.text, cut.kind, cut.size.text) for cut in found.edges] == [
        ("long", "round", "1/8 in"),
        ("face upper", "chamfer", "1/16 in"),
    ]
    assert found.edges[0].edges == (("lower", "back"), ("lower", "face"), ("upper", "back"), ("upper", "face"))
    assert found.edges[1].edges == (("upper", "face"),)
    one, two = shape("corners: {start: {radius: 1/2 in}, end upper: {chamfer: 1/4 in}}").corners
    assert one.corners == (("start", "lower"), ("start", "upper"))
    assert (two.corners, two.kind) == ((("end", "upper"),), "chamfer")
    assert len(shape("edges: {all: {round: 1/8 in}}").edges[0].edges) == 12


def test_a_leaning_place() -> None:
    text = small(
        ("from: [0 in, 0 in, 0 in], to: [0 in, 0 in, long]", "to: [0 in, 0 in, long], lean: {x: 8 deg}, rise: long")
    )
    placement = read(text).parts[1].placement
    assert isinstance(placement, LeanPlacement)
    assert placement.at == "end"
    assert placement.lean_x is not None
    assert placement.lean_x.text == "8 deg"
    assert placement.lean_y is None


OUTLINE = "outline: {start: [0 in, 0 in], path: [%s]}"


@pytest.mark.parametrize(
    ("keys", "message"),
    [
        ("outline: {^begin: [0 in, 0 in], path: []}", "unknown key 'begin' in the outline of part 'slat'"),
        (
            OUTLINE % "^{line: [1 in, 0 in], curve: 2}",
            "stroke 1 of the outline of part 'slat' has 2 keys",
        ),
        (OUTLINE % "{line: ^[1 in]}", "'line' of stroke 1 of the outline of part 'slat' has 1 values"),
        (OUTLINE % "{line: [^5, 0 in]}", "'5' is a count"),
        (
            OUTLINE % "{round: ^{to: [1 in, 0 in]}}",
            "'round' of stroke 1 of the outline of part 'slat' has neither radius nor rise",
        ),
        (OUTLINE % "{^arc: [1 in, 0 in]}", "unknown key 'arc' in stroke 1 of the outline of part 'slat'"),
        (OUTLINE % "{line: [^lenght, 0 in]}", "unknown name 'lenght'"),
        ("taper: ^{towards: end}", "the taper of part 'slat' says neither to what width nor to what thickness"),
        ("taper: {towards: ^top, width: 1 in}", "'towards' of the taper of part 'slat' is 'top'"),
        (
            "taper: {towards: end, width: 1 in, sides: [^inside]}",
            "'sides' of the taper of part 'slat' has 'inside'",
        ),
        ("edges: {^uper face: {round: 1/8 in}}", "the edges of part 'slat' have none called 'uper face'"),
        ("edges: {all: {^bevel: 1/8 in}}", "unknown key 'bevel' in edge 'all' of part 'slat'"),
        ("edges: ^all", "the edges of part 'slat' is 'all'"),
        ("corners: ^{radius: 1 in, chamfer: 1 in}", "the corners of part 'slat' has 2 cuts"),
        (
            OUTLINE % "{line: [1 in, 0 in]}, {line: [0 in, 1 in]}" + "\n^corners: {radius: 1 in}",
            "the key 'corners' does not belong in part 'slat': its face has an outline, which can turn its corners"
            " itself",
        ),
    ],
)
def test_faults(keys: str, message: str) -> None:
    text, expected = marked(shaped(keys), message)
    assert expected in told(text)


def test_own_sizes_are_known_in_shapes_only_and_not_mixed_up() -> None:
    assert told(small(("length: long", "length: width")))[0].endswith("unknown name 'width'")
    text = shaped("corners: {radius: ^width / 4}").replace("  thick: 3/4 in", "  width: 2 in\n  thick: 3/4 in")
    plain, expected = marked(
        text, "in a shape 'width' means the part's own width, but the plan has a value of this name"
    )
    assert told(plain) == [expected]


def test_stand_ins_do_not_make_faults_of_value() -> None:
    """While the plan is read, a part's own sizes are not known yet."""
    keys = "corners: {radius: sqrt((40 in) * (40 in) - length * length)}\n"
    keys += "edges: {all: {round: 1 in * 1 in / (width - 101 mm)}}"
    assert told(shaped(keys)) == []

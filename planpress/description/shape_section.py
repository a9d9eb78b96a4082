"""Reads the shape of a part: `outline`, `taper`, `corners` and `edges`.

outline: {start: [0 in, 0 in], path: [{line: [length, 0 in]}, {line: [length, 3 in]},
          {hollow: {to: [0 in, 3 in], rise: 3/4 in}}]}
taper:   {towards: start, width: 1 in, thickness: 1 in, begins: 6 in, sides: [upper edge, face]}
corners: {radius: 1-1/2 in}
edges:   {long: {chamfer: 1/8 in}, end face: {round: 1/4 in}}
"""

from __future__ import annotations

from typing import Literal, cast

from planpress.base.quantities import LENGTH
from planpress.description.faults import did_you_mean, nearest
from planpress.description.fields import Fields, Reading, blank_formula
from planpress.description.formulas import Formula, parse_formula
from planpress.description.shape_records import (
    OWN_SIZES,
    CornerCut,
    EdgeCut,
    Outline,
    Pair,
    Shape,
    Stroke,
    Taper,
)
from planpress.description.yaml_nodes import Entry, Mapping, Node
from planpress.description.yaml_nodes import Sequence as ListNode

SHAPE_KEYS = ("outline", "taper", "corners", "edges")
_STROKES = ("line", "round", "hollow", "curve")
_SIDES = ("lower edge", "upper edge", "back", "face")
_ENDS, _EDGES, _FACES = ("start", "end"), ("lower", "upper"), ("back", "face")
_CORNERS = tuple((end, edge) for end in _ENDS for edge in _EDGES)
_LONG = tuple((edge, face) for edge in _EDGES for face in _FACES)
_ACROSS = tuple((end, face) for end in _ENDS for face in _FACES)
_ALL = (*_LONG, *_ACROSS, *_CORNERS)
_GROUPS = {"all": _ALL, "long": _LONG, "ends": (*_ACROSS, *_CORNERS)} | {
    word: tuple(pair for pair in _ALL if word in pair) for word in (*_ENDS, *_EDGES, *_FACES)
}
#: While the plan is only read, these stand for the part's own sizes: formulas are checked for their dimensions.
_STAND_INS = ("1009 mm", "101 mm", "19 mm")


def read_shape(fields: Fields) -> Shape | None:
    """The shape of a part, None if it stays a straight stick."""
    if not any(key in fields for key in SHAPE_KEYS):
        return None
    reading, repeats = fields.reading, fields.reading.variables
    sizes = zip(OWN_SIZES, _STAND_INS, strict=True)
    reading.variables = (*repeats, *((name, parse_formula(text, fields.place)) for name, text in sizes))
    shape = Shape(
        outlines=_outlines(fields),
        tapers=tuple(_taper(node, fields) for node in _one_or_more(fields, "taper")),
        corners=_corners(fields),
        edges=_edges(fields),
    )
    reading.variables = repeats
    drawn = [outline.on for outline in shape.outlines]
    if "face" in drawn and shape.corners:
        fields.forbid(["corners"], "its face has an outline, which can turn its corners itself")
    if any(("face" in drawn and taper.width) or ("edge" in drawn and taper.thickness) for taper in shape.tapers):
        fields.forbid(["taper"], "it has an outline on the same side, which can run out by itself")
    if len(drawn) != len(set(drawn)):
        reading.findings.error(
            "outline", f"{fields.what} has two outlines on one side", shape.outlines[-1].place, hint="keep one of them"
        )
    return shape


def _one_or_more(fields: Fields, key: str) -> tuple[Node, ...]:
    node = fields.nodes.get(key)
    if node is None:
        return ()
    return node.items if isinstance(node, ListNode) else (node,)


def _outlines(fields: Fields) -> tuple[Outline, ...]:
    out = []
    for node in _one_or_more(fields, "outline"):
        inner = Fields(fields.reading, node, f"the outline of {fields.what}", ("on", "start", "path"))
        start = inner.required("start")
        path = inner.required("path")
        strokes: tuple[Stroke, ...] = ()
        if path is not None:
            items = fields.reading.items(path, inner.about("path"), "strokes")
            strokes = tuple(s for i, item in enumerate(items) if (s := _stroke(item, i, inner)) is not None)
            if isinstance(path, ListNode) and not items:
                fields.reading.wrong(path.place, f"{inner.about('path')} has no strokes", "two or more")
        out.append(
            Outline(
                on=cast(Literal["face", "edge"], inner.choice("on", ("face", "edge"), "face")),
                start=_pair(start, inner.about("start"), fields.reading) if start else _blank_pair(inner),
                path=strokes,
                place=node.place,
            )
        )
    return tuple(out)


def _stroke(node: Node, index: int, outline: Fields) -> Stroke | None:
    """`{line: [u, v]}`, `{round: {to: [u, v], radius: r}}`, `{hollow: {to:, rise:}}`, `{curve: {through:, to:}}`."""
    reading = outline.reading
    fields = Fields(reading, node, f"stroke {index + 1} of {outline.what}", _STROKES)
    if not fields.is_mapping:
        return None
    if len(fields.nodes) != 1:
        if not fields.misspelt:
            reading.wrong(node.place, f"{fields.what} has {len(fields.nodes)} keys", f"one of: {', '.join(_STROKES)}")
        return None
    kind, inner = next(iter(fields.nodes.items()))
    what = fields.about(kind)
    if kind == "line":
        return Stroke("line", _pair(inner, what, reading), (), None, None, node.place)
    if kind == "curve":
        curve = Fields(reading, inner, what, ("through", "to"))
        points = curve.required("through")
        items = reading.items(points, curve.about("through"), "points") if points else ()
        through = tuple(_pair(item, curve.about("through"), reading) for item in items)
        return Stroke("curve", _end(curve), through, None, None, node.place)
    arc = Fields(reading, inner, what, ("to", "radius", "rise"))
    if arc.is_mapping and ("radius" in arc) == ("rise" in arc) and not arc.misspelt:
        both = "both radius and rise" if "rise" in arc else "neither radius nor rise"
        reading.wrong(inner.place, f"{what} has {both}", "one of them")
    radius, rise = arc.formula_or_none("radius", LENGTH), arc.formula_or_none("rise", LENGTH)
    return Stroke(cast(Literal["round", "hollow"], kind), _end(arc), (), radius, rise, node.place)


def _end(fields: Fields) -> Pair:
    node = fields.required("to")
    return _pair(node, fields.about("to"), fields.reading) if node else _blank_pair(fields)


def _blank_pair(fields: Fields) -> Pair:
    blank = blank_formula(fields.place)
    return blank, blank


def _pair(node: Node, what: str, reading: Reading) -> Pair:
    """A point: along the length, across."""
    items = reading.items(node, what, "two sizes")
    if len(items) == 2:
        along, across = (reading.formula(item, what, LENGTH) for item in items)
        return along, across
    if isinstance(node, ListNode):
        reading.wrong(node.place, f"{what} has {len(items)} values", "two: [along the length, across]")
    blank = blank_formula(node.place)
    return blank, blank


def _taper(node: Node, part: Fields) -> Taper:
    fields = Fields(
        part.reading, node, f"the taper of {part.what}", ("towards", "width", "thickness", "begins", "sides")
    )
    if fields.is_mapping and "width" not in fields and "thickness" not in fields and not fields.misspelt:
        message = f"{fields.what} says neither to what width nor to what thickness"
        part.reading.findings.error("missing-key", message, node.place, expected="width or thickness at its thin end")
    sides = fields.nodes.get("sides")
    items = part.reading.items(sides, fields.about("sides"), "sides") if sides else ()
    named = []
    for item in items:
        text = part.reading.text(item, fields.about("sides"))
        if text in _SIDES:
            named.append(text)
        elif text:
            part.reading.findings.error(
                "unknown-word",
                f"{fields.about('sides')} has '{text}'",
                item.place,
                expected=f"some of: {', '.join(_SIDES)}",
                hint=did_you_mean(text, _SIDES),
            )
    return Taper(
        towards=cast(Literal["start", "end"], fields.choice("towards", _ENDS)),
        width=fields.formula_or_none("width", LENGTH),
        thickness=fields.formula_or_none("thickness", LENGTH),
        begins=fields.formula_or_none("begins", LENGTH),
        sides=cast(tuple[Literal["lower edge", "upper edge", "back", "face"], ...], tuple(named)),
        place=node.place,
    )


def _corners(part: Fields) -> tuple[CornerCut, ...]:
    """All four alike (`radius` or `chamfer`), or each by its name: `start lower: {radius: 1 in}`."""
    node = part.nodes.get("corners")
    if node is None:
        return ()
    what = f"the corners of {part.what}"
    if isinstance(node, Mapping) and any(entry.key.text in ("radius", "chamfer") for entry in node.entries):
        kind, size = _one_size(node, what, "radius", part.reading)
        return (CornerCut(_CORNERS, kind, size, node.place),)
    return tuple(
        CornerCut(
            named,
            *_one_size(entry.value, f"corner '{entry.key.text}' of {part.what}", "radius", part.reading),
            entry.key.place,
        )
        for entry in part.reading.entries(node, what, "corners with their cuts")
        if (named := _named(entry, what, _CORNERS, (*_ENDS, *_EDGES), part.reading))
    )


def _edges(part: Fields) -> tuple[EdgeCut, ...]:
    """Groups or single edges, each with its cut; a later one goes before an earlier one."""
    node = part.nodes.get("edges")
    if node is None:
        return ()
    what = f"the edges of {part.what}"
    return tuple(
        EdgeCut(
            named,
            entry.key.text,
            *_one_size(entry.value, f"edge '{entry.key.text}' of {part.what}", "round", part.reading),
            entry.key.place,
        )
        for entry in part.reading.entries(node, what, "edges with their cuts")
        if (named := _named(entry, what, _ALL, tuple(_GROUPS), part.reading))
    )


def _named(
    entry: Entry, what: str, pairs: tuple[tuple[str, str], ...], groups: tuple[str, ...], reading: Reading
) -> tuple[tuple[str, str], ...]:
    """The pairs that a name stands for: a group ("long"), or the two words of one ("face upper")."""
    text = " ".join(entry.key.text.split())
    if text in groups:
        return tuple(pair for pair in _GROUPS[text] if pair in pairs)
    single = tuple(pair for pair in pairs if set(pair) == set(text.split()) and len(text.split()) == 2)
    if not single:
        singles = [f"{a} {b}" for a, b in pairs]
        reading.findings.error(
            "unknown-word",
            f"{what} have none called '{text}'",
            entry.key.place,
            expected=f"one of: {', '.join((*groups, *singles))}",
            hint=did_you_mean(text, (*groups, *singles)) if nearest(text, (*groups, *singles)) else "",
        )
    return single


def _one_size(node: Node, what: str, word: str, reading: Reading) -> tuple[Literal["round", "chamfer"], Formula]:
    """`{radius: 1 in}` (or `round:`, as `word` says) or `{chamfer: 1/4 in}`."""
    fields = Fields(reading, node, what, (word, "chamfer"))
    if fields.is_mapping and len(fields.nodes) != 1 and not fields.misspelt:
        reading.wrong(node.place, f"{what} has {len(fields.nodes)} cuts", f"one of: {word}, chamfer")
    if "chamfer" in fields:
        return "chamfer", fields.formula("chamfer", LENGTH)
    return "round", fields.formula(word, LENGTH) if word in fields else blank_formula(fields.place)

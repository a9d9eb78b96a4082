"""Mortise and tenon: the end of one stick is reduced to a tenon, the other gets the mortise it fits.

The tenon is as long as the placed sticks overlap; if it reaches the far side it goes through. Defaults: a third of the
thickness, the whole width, a haunch a third of the width (common practice; W. Noyes, "Handwork in Wood", chapter VII,
says what a haunch is for).
"""

from __future__ import annotations

from fractions import Fraction

from attrs import frozen

from planpress.base.printing import Units
from planpress.description.records import TenonJoint
from planpress.geometry.vectors import SAME, dot, mean
from planpress.model.blanks import Blank
from planpress.model.cutting import Cut, JointError, Settings
from planpress.model.records import JointPlace, Side
from planpress.model.tenon_entries import Entry, Range, find_entry
from planpress.model.tenon_sections import cut_end, cut_side, rounded_corners, tenon_face, widest_shoulder
from planpress.model.tenon_squared import check_within, cut_corner, cut_stick, squared

#: A tenon is a third of its part's thickness (common practice: the thirds rule), a haunch a third of its width.
THIRD = Fraction(1, 3)
#: A blind mortise is this much deeper than the tenon, for glue (common practice, no source), mm.
GLUE_ROOM = {Units.IMPERIAL: Fraction(254, 160), Units.METRIC: Fraction(3, 2)}
#: Width of a hand saw's kerf for a wedge (common practice, no source), mm.
SAW_KERF = {Units.IMPERIAL: Fraction(254, 160), Units.METRIC: Fraction(3, 2)}
#: A kerf for a wedge ends this share of the tenon's length before the shoulder (common practice, no source).
KERF_SHORT = Fraction(1, 4)
#: The outer wedges stand this share of the tenon's width from its edges: between a sixth and a quarter (common
#: practice, no source).
WEDGE_FROM_EDGE = Fraction(1, 5)
#: A tenon that stands out further than this many times the wood it goes through was meant to be something else.
_MOST_PROUD = 2


@frozen
class _Shape:
    """A tenon in the section of its stick: ranges of v, one a tenon, and of w; the haunch beside them.

    `haunch_upper`: the haunch is at the upper edge; None if there is none. `haunch`: its length, mm.
    """

    tenons: tuple[Range, ...]
    thick: Range
    haunch_upper: bool | None
    haunch: Fraction

    @property
    def across(self) -> Range:
        """All tenons with the gaps between them."""
        return self.tenons[0][0], self.tenons[-1][1]


def cut_tenon(first: Blank, second: Blank, joint: TenonJoint, settings: Settings) -> Cut | None:
    """Cut the tenon on `first` and the mortise in `second`; None if they share no space.

    Raises:
        JointError: if no end of the first lies in the second, or the tenon has no room. FormulaError: for settings.
    """
    entry = find_entry(first, second, joint)
    if entry is None:
        return None
    leaning = joint.axis == "mortise" and not entry.is_square
    if leaning:
        entry = squared(entry)
    shape = _shape(entry, settings)
    least, most = entry.depths(shape.across, shape.thick)
    whole = entry.through_size
    if least <= SAME:
        raise JointError(f"the end of '{first.id}' does not reach into '{second.id}' with all of its tenon")
    if entry.proud > _MOST_PROUD * whole:
        raise JointError(f"'{first.id}' runs through '{second.id}' and far beyond it; a tenon ends there")
    through = most >= whole - SAME
    room = settings.length(settings.of_units(joint.room), Fraction(0)) if joint.room else GLUE_ROOM[settings.units]
    if room < 0:
        raise JointError("its 'room' is less than nothing")
    depth = whole if through else most + room
    if depth > whole - SAME and not through:
        raise JointError(
            f"the mortise would be {float(depth):g} mm deep with room for glue, '{second.id}' is {float(whole):g} mm"
            " there; make the tenon shorter, or let it go through"
        )
    wedges = settings.whole(joint.wedges, 0, least=0)
    if wedges and not through:
        raise JointError("only a through tenon can be wedged")
    if shape.haunch_upper is not None and shape.haunch >= least:
        raise JointError("the haunch is as long as the tenon")
    diameter = settings.size(settings.of_units(joint.cutter), Fraction(0)) if joint.cutter else Fraction(0)
    fit = settings.length(joint.fit)
    if leaning:
        check_within(first, entry, shape.across, shape.thick)
    _reduce(entry, shape, first)
    _round(entry, shape, diameter, first)
    _saw_kerfs(entry, shape, wedges, whole, SAW_KERF[settings.units], first)
    _mortise(entry, shape, depth, fit, diameter)
    patch = widest_shoulder(entry, shape.across, shape.thick) or tenon_face(entry, shape.tenons[0], shape.thick)
    return Cut(JointPlace(joint.name, joint.kind, first.id, second.id, entry.along, patch, joint.glue))


def _shape(entry: Entry, settings: Settings) -> _Shape:
    """The tenon's place in the section of its stick, from the joint's settings."""
    joint, t = entry.joint, entry.tenon
    thick = thickness_range(t, joint, settings)
    haunch = settings.size(joint.haunch, Fraction(0))
    haunch_width = settings.size(joint.haunch_width, t.width * THIRD) if haunch else Fraction(0)
    width = settings.size(joint.width, t.width - haunch_width)
    count = settings.whole(joint.tenons)
    if width + haunch_width > t.width + SAME or width <= SAME:
        raise JointError(f"tenon and haunch are {float(width + haunch_width):g} mm wide, '{t.id}' {float(t.width):g}")
    upper = entry.towards_end()[0] if haunch else None
    if upper is None:
        low = (t.width - width) / 2
    else:
        low = t.width - haunch_width - width if upper else haunch_width
    each = width / (2 * count - 1)  # gaps as wide as tenons (common practice, no source)
    tenons = tuple((low + 2 * k * each, low + (2 * k + 1) * each) for k in range(count))
    return _Shape(tenons, thick, upper, haunch)


def thickness_range(t: Blank, joint: TenonJoint, settings: Settings) -> Range:
    """Where the tenon lies in its stick's thickness (w, mm)."""
    thickness = settings.size(joint.thickness, t.thickness * THIRD)
    offset = settings.length(joint.offset) * (-1 if t.mirrored else 1)
    low = (t.thickness - thickness) / 2 + offset
    if low < -SAME or low + thickness > t.thickness + SAME:
        raise JointError(f"a tenon {float(thickness):g} mm thick, set off by {float(offset):g} mm, leaves '{t.id}'")
    return low, low + thickness


def _reduce(entry: Entry, shape: _Shape, stick: Blank) -> None:
    """Take off the wood around the tenons, down to the shoulders; `stick` is T itself where the entry's is a
    stand-in."""
    t = entry.tenon
    (low_v, high_v), (low_w, high_w) = shape.across, shape.thick
    gaps = [(low, high) for (_, low), (high, _) in zip(shape.tenons, shape.tenons[1:], strict=False)]
    haunch = [shape.haunch if shape.haunch_upper is upper else Fraction(0) for upper in (False, True)]
    if t is not stick:
        cuts = [
            cut_stick(stick, entry, 2, "cheek", high=low_w),
            cut_stick(stick, entry, 2, "cheek", low=high_w),
            cut_stick(stick, entry, 1, "cheek", high=low_v, below=haunch[0]),
            cut_stick(stick, entry, 1, "cheek", low=high_v, below=haunch[1]),
            *(cut_stick(stick, entry, 1, "slot", low=low, high=high) for low, high in gaps),
        ]
        stick.notches.extend(cut for cut in cuts if cut is not None)
        return
    for side, waste in ((Side.BACK, low_w), (Side.FACE, t.thickness - high_w)):
        if waste > SAME:
            t.notches.append(cut_end(entry, side, waste, "cheek"))
    for side, waste in ((Side.LOWER, low_v), (Side.UPPER, t.width - high_v)):
        if waste > SAME:
            t.notches.append(cut_end(entry, side, waste, "cheek", below=haunch[side is Side.UPPER]))
    for low, high in gaps:
        t.notches.append(cut_end(entry, Side.FACE, t.thickness, "slot", across=(low, high)))


def _round(entry: Entry, shape: _Shape, diameter: Fraction, stick: Blank) -> None:
    """Round the tenons' corners to fit mortises cut with a router bit."""
    t = entry.tenon
    radius = min(diameter, shape.thick[1] - shape.thick[0]) / 2
    if not radius:
        return
    for tenon in shape.tenons:
        open_at = (tenon[0] > SAME, tenon[1] < t.width - SAME)
        below = (
            shape.haunch if shape.haunch_upper is False and tenon is shape.tenons[0] else Fraction(0),
            shape.haunch if shape.haunch_upper and tenon is shape.tenons[-1] else Fraction(0),
        )
        for cut in rounded_corners(entry, tenon, shape.thick, radius, below, open_at):
            if t is not stick:
                upper = mean(cut.outline)[1] > (tenon[0] + tenon[1]) / 2
                cut = cut_corner(stick, entry, cut, below[upper])
            stick.notches.append(cut)


def _saw_kerfs(entry: Entry, shape: _Shape, wedges: int, length: Fraction, kerf: Fraction, stick: Blank) -> None:
    """Saw kerfs for wedges that spread the tenon along the grain of the other part, where it cannot be split."""
    if not wedges:
        return
    t, grain, below = entry.tenon, entry.mortise.axes[0], length * KERF_SHORT
    along_v = abs(dot(t.axes[1], grain)) >= abs(dot(t.axes[2], grain))
    side = Side.FACE if along_v else Side.UPPER
    size = t.thickness if along_v else t.width
    for low, high in shape.tenons if along_v else (shape.thick,):
        for middle in kerf_places(low, high, wedges):
            across = (middle - kerf / 2, middle + kerf / 2)
            if t is stick:
                t.notches.append(cut_end(entry, side, size, "kerf", below=below, across=across))
                continue
            cut = cut_stick(stick, entry, 1 if along_v else 2, "kerf", low=across[0], high=across[1], below=below)
            if cut is not None:
                stick.notches.append(cut)


def kerf_places(low: Fraction, high: Fraction, count: int) -> list[Fraction]:
    """Middles (mm) of kerfs in a tenon from `low` to `high`: one in the middle, or evenly between the outer two."""
    if count == 1:
        return [(low + high) / 2]
    margin = (high - low) * WEDGE_FROM_EDGE
    step = (high - low - 2 * margin) / (count - 1)
    return [low + margin + step * k for k in range(count)]


def _mortise(entry: Entry, shape: _Shape, depth: Fraction, fit: Fraction, diameter: Fraction) -> None:
    """Cut the mortises, and the haunch's slot, open at the end of the part."""
    m, thickness = entry.mortise, shape.thick[1] - shape.thick[0]
    radius = min(diameter, thickness + fit) / 2
    for tenon in shape.tenons:
        m.notches.append(cut_side(entry, tenon, shape.thick, depth, "mortise", fit=fit, radius=radius))
    if shape.haunch_upper is not None:
        low, high = shape.tenons[-1] if shape.haunch_upper else shape.tenons[0]
        within = min(max(radius, Fraction(1)), (high - low) / 2)  # into the mortise, so that nothing stays between
        beyond = 2 * (m.length + entry.tenon.width)
        across = (high - within, high + beyond) if shape.haunch_upper else (low - beyond, low + within)
        m.notches.append(cut_side(entry, across, shape.thick, shape.haunch, "slot", fit=fit))

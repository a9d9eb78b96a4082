"""Names of cuts and the words beside their details: what they are for, how many, what the drawing cannot show."""

from __future__ import annotations

import itertools
import math
from collections.abc import Mapping
from fractions import Fraction

from planpress.base.edition import Edition
from planpress.base.printing import write_angle
from planpress.figures.callouts import count_word
from planpress.figures.part_groups import MANY, EndJoint, is_pitched, is_through, lie_of, stops
from planpress.figures.part_notes import (
    NO_BREAK,
    NotchKind,
    Note,
    capsule_words,
    clearance,
    in_sentence,
    mate_letters,
    measured_words,
    side_words,
    skew_note,
)
from planpress.figures.part_sides import end_u, position, reference_line
from planpress.model.records import Notch, Part, Side
from planpress.model.tenon_sizes import squared_tenon

_NOUNS = {"lap": "notch", "cheek": "rebate", "corner": "cut", "socket": "socket"}
_MANY_SOCKETS = 8  # more are not all drawn with their positions
_FORMS = {
    "tenon": "Tenon of {}",
    "fork": "Bridle slot in {}",
    "haunch": "Slot for a haunch in {}",
    "fingers": "Fingers of {}",
    "tails": "Tails of {}",
    "pins": "Pins of {}",
    "slot": "Slot in the end of {}",
}


def noun(notch: Notch) -> str:
    """What a cut is called in a sentence."""
    return _NOUNS.get(notch.role, notch.role)


def fits_a_mate(notch: Notch) -> bool:
    """True if the width is not a number but that of the mate."""
    return bool(notch.mates) and notch.role in ("lap", "housing", "groove")


def plural(word: str, count: int) -> str:
    """The word for one or for several."""
    if count == 1:
        return word
    return f"{word}es" if word.endswith("ch") else f"{word}s"


def kind_name(kind: NotchKind, part: Part) -> str:
    """ "Mortises for A in B": the title of a detail."""
    word = plural(noun(kind.first), len(kind.notches)).capitalize()
    letter = part.letter
    if lie_of(kind.first, part) == "across" and any(stops(kind.first, part)):
        word = f"Stopped {word.lower()}"
    mates = capsule_words(kind.first)[2:] if kind.first.mates else ""
    if kind.first.role == "mortise":
        mates = " and ".join(kind.mates)
    return f"{word} for {mates} in {letter}" if mates else f"{word} in {letter}"


def end_joint_name(joint: EndJoint, letter: str) -> str:
    """ "Tenon of A, both ends": the title of a detail."""
    where = "both ends" if len(joint.ends) > 1 else joint.end.value
    if joint.form == "tenon" and joint.of_role("slot"):
        return f"Twin tenons of {letter}, {where}"
    return f"{_FORMS[joint.form].format(letter)}, {where}"


def pocket_notes(kind: NotchKind, part: Part, parts: Mapping[str, Part], edition: Edition) -> tuple[Note, ...]:
    """The notes on mortises, housings, rabbets, grooves."""
    notch, count = kind.first, len(kind.notches)
    word = plural(noun(notch), count)
    number = count_word(count).capitalize() if count <= MANY else str(count)
    bold = f"{number} {word} in the {side_words(notch.side)},"
    notes = [_purpose(bold, kind, parts, edition)]
    series = series_note(kind, part, edition)
    if series:
        notes.append(series)
    if is_through(notch, part) and notch.role == "mortise":
        notes.append(Note("Through:", "mark both sides and cut from both towards the middle."))
    low, high = stops(notch, part)
    if lie_of(notch, part) == "across" and (low > 0) != (high > 0):
        border = {1: ("back", "reference face"), 2: ("lower edge", "upper edge")}[notch.side.axis][low == 0]
        notes.append(Note("Stopped:", f"it does not reach the {border}. Clear the stopped end with a chisel."))
    if notch.radius > 0:
        width = min(notch.across[1] - notch.across[0], 2 * notch.radius)
        notes.append(Note("Round ends", f"are left by a router bit of {edition.joint(width)}."))
    if notch.direction is not None:
        lean = _lean(notch)
        notes.append(
            Note(f"The walls lean {write_angle(lean)} from square", "to this side; the view beside it shows the way.")
        )
    skew = skew_note(kind)
    if skew:
        notes.append(skew)
    return tuple(notes)


def _purpose(bold: str, kind: NotchKind, parts: Mapping[str, Part], edition: Edition) -> Note:
    notch, count = kind.first, len(kind.notches)
    known = [in_sentence(parts[mate]) for mate, _ in mate_letters(notch) if mate in parts]
    names = " and ".join(known)
    each = "each " if count > 1 else ""
    if notch.role == "mortise":
        names = " or ".join(in_sentence(parts[mate]) for mate in kind.mates if mate in parts)
        rest = f"{each}for a tenon of {names}." if names else "for a tenon."
        if notch.fit > 0:
            rest += f" Its width has {clearance(notch.fit, edition)} of clearance."
        return Note(bold, rest)
    if not names:
        return Note(bold.rstrip(","), "")
    if notch.role == "rabbet":
        return Note(bold, f"{each}for {names}.")
    return measured_words(bold, notch, each, parts, edition)


def series_note(kind: NotchKind, part: Part, edition: Edition) -> Note | None:
    """A long row of like cuts by count, width and pitch; None if its positions are all drawn."""
    count = len(kind.notches)
    places = [position(n, part) for n in kind.notches]
    if count <= MANY or not is_pitched(places):
        return None
    pitch = (places[-1] - places[0]) / (count - 1)
    word = plural(noun(kind.first), count)
    return Note(
        f"{count} {word}, {edition.length(pitch)} apart,",
        f"from near side to near side: the first at {edition.length(places[0])}, the last at "
        f"{edition.length(places[-1])} from the reference end. Number{NO_BREAK}n is at "
        f"{edition.length(places[0])} + (n \u2212 1) \u00d7 {edition.length(pitch)}.",
    )


def _lean(notch: Notch) -> Fraction:
    assert notch.direction is not None
    down = abs(float(notch.direction[notch.side.axis]))
    return Fraction(round(math.degrees(math.acos(min(1.0, down))) * 10**6), 10**6)


def end_notes(joint: EndJoint, part: Part, parts: Mapping[str, Part], edition: Edition) -> tuple[Note, ...]:
    """The notes on a joint at an end."""
    names = " and ".join(in_sentence(parts[mate]) for mate in joint.mates if mate in parts)
    where = "at both ends" if len(joint.ends) > 1 else f"at the {joint.end.value}"
    words = {
        "tenon": _tenon_notes,
        "fork": _fork_notes,
        "haunch": _haunch_notes,
        "fingers": _finger_notes,
        "tails": _tail_notes,
        "pins": _pin_notes,
        "slot": _slot_notes,
    }[joint.form]
    return tuple(words(joint, part, names, where, edition))


def _tenon_notes(joint: EndJoint, part: Part, names: str, where: str, edition: Edition) -> list[Note]:
    gaps = joint.of_role("slot")
    several = len(joint.ends) > 1
    word = ("Twin tenons" if gaps else "Tenons" if several else "Tenon") + f" {where},"
    into = f"for the {plural('mortise', 2 if several or gaps else 1)} in {names}. " if names else ""
    notes = [Note(word, f"{into}Cut the cheeks until the tenon slides in by hand.")]
    squared = squared_tenon(part, joint.joint, joint.end)
    if squared is not None:
        v, w = reference_line(Side.FACE, part), part.thickness
        long = abs(end_u(part.ends[1 if joint.end.is_far else 0], v, w) - squared.shoulder.u_at(v, w))
        words = "from the end, where reference edge and reference face meet; it runs all round as the end does."
        notes.append(Note("The shoulder", f"lies {edition.joint(long)} {words}"))
        notes.append(
            Note(
                f"{edition.joint(squared.thickness)} by {edition.joint(squared.width)}, square to the shoulder,",
                f"not along {part.letter}. The sizes beside the views are for its tip, as a gauge marks them from the"
                " sides; from there square its lines down to the shoulder with a square held on the cut end.",
            )
        )
    shoulders = sorted(position(n, part) for n in part.notches if n.role == "cheek" and n.joint == joint.joint)
    if several and shoulders[-1] > shoulders[0]:
        notes.append(Note("Between the shoulders:", f"{edition.length(shoulders[-1] - shoulders[0])}."))
    for gap in gaps[:1]:
        notes.append(Note("Gap between the tenons:", f"{edition.joint(gap.across[1] - gap.across[0])}."))
    kerfs = joint.of_role("kerf")
    if kerfs:
        wide = min(kerfs[0].across[1] - kerfs[0].across[0], kerfs[0].width or kerfs[0].across[1])
        number = count_word(len(kerfs)).capitalize()
        notes.append(Note(f"{number} saw {plural('cut', len(kerfs))} for wedges,", f"{edition.joint(wide)} wide."))
    lean = next((n for n in joint.of_role("cheek") if n.skew != 0), None)
    if lean is not None:
        notes.append(
            Note(
                f"The shoulders lean {write_angle(abs(lean.skew))} from square.",
                "Positions are taken on the reference edge; carry the angle across with a bevel gauge.",
            )
        )
    return notes


def _fork_notes(joint: EndJoint, part: Part, names: str, where: str, edition: Edition) -> list[Note]:
    rest = f"open at the end, for the tenon of {names}." if names else "open at the end."
    return [Note(f"Bridle slot {where},", rest)]


def _haunch_notes(joint: EndJoint, part: Part, names: str, where: str, edition: Edition) -> list[Note]:
    of = f" of {names}" if names else ""
    deep = edition.joint(joint.notches[0].depth)
    return [Note(f"Slot {where},", f"{deep} deep, from the mortise to the end, for the haunch{of}.")]


def finger_pitch(joint: EndJoint, part: Part) -> tuple[int, Fraction]:
    """How many fingers share the width, both members together, and how wide each is."""
    slots = sorted(n.across for n in joint.notches)
    centres = [(low + high) / 2 for low, high in slots if low > 0 and high < part.width]
    pitch = (centres[-1] - centres[0]) / (2 * (len(centres) - 1)) if len(centres) > 1 else slots[0][1] - slots[0][0]
    count = max(1, round(part.width / pitch))
    return count, part.width / count


def _finger_notes(joint: EndJoint, part: Part, names: str, where: str, edition: Edition) -> list[Note]:
    total, wide = finger_pitch(joint, part)
    slots = len(joint.notches)
    mate = f" of {names}" if names else ""
    bold = f"{count_word(total).capitalize()} fingers of {edition.joint(wide)} share the width."
    outer = all(low > 0 and high < part.width for low, high in (n.across for n in joint.notches))
    rest = f"{count_word(slots).capitalize()} {plural('slot', slots)} {where} take those{mate}."
    notes = [Note(bold, f"{part.letter} has the outer ones. {rest}" if outer else rest)]
    return notes + _clearance(joint, edition)


def _clearance(joint: EndJoint, edition: Edition) -> list[Note]:
    fit = max(n.fit for n in joint.notches)
    return [Note("Clearance:", f"each slot is {clearance(fit, edition)} wider than what goes in.")] if fit > 0 else []


def wood_between(spans: list[tuple[Fraction, Fraction]], size: Fraction) -> list[tuple[Fraction, Fraction]]:
    """What is left of (0, size) between cuts."""
    at, out = Fraction(0), []
    for low, high in [*sorted(spans), (size, size)]:
        if low > at:
            out.append((at, low))
        at = max(at, high)
    return out


def slope_of(joint: EndJoint) -> Fraction | None:
    """n of the slope 1 : n of the walls of sockets; None if none leans."""
    for notch in joint.of_role("socket", "slot"):
        for (a0, a1), (b0, b1) in itertools.pairwise([*notch.outline, notch.outline[0]]):
            along, across = (a0 - b0, a1 - b1) if notch.side.axis else (a1 - b1, a0 - b0)
            if along != 0 and across != 0 and abs(along) > abs(across):
                return abs(along / across)
    return None


def slope_words(n: Fraction) -> str:
    """ "1 : 8"."""
    return f"1{NO_BREAK}:{NO_BREAK}{float(round(n, 1)):g}"


def _slope(joint: EndJoint) -> str:
    n = slope_of(joint)
    return f" The slope is {slope_words(n)}." if n else ""


def _tail_notes(joint: EndJoint, part: Part, names: str, where: str, edition: Edition) -> list[Note]:
    at_end = []
    for notch in joint.notches:
        reach = max(p[0] for p in notch.outline) if joint.end.is_far else min(p[0] for p in notch.outline)
        seconds = [p[1] for p in notch.outline if p[0] == reach]
        at_end.append((min(seconds), max(seconds)))
    tails = len(wood_between(at_end, part.width))
    bold = f"{count_word(tails).capitalize()} {plural('tail', tails)} {where}."
    rest = f"The sockets take the pins of {names}." if names else "The sockets take the pins."
    centres = [(low + high) / 2 for low, high in sorted(at_end) if low > 0 and high < part.width]
    if len(at_end) > _MANY_SOCKETS and is_pitched(centres):
        rest += f" From centre to centre of the sockets it is {edition.length(centres[1] - centres[0])}."
    return [Note(bold, f"{rest}{_slope(joint)} Positions are taken at the end."), *_clearance(joint, edition)]


def _pin_notes(joint: EndJoint, part: Part, names: str, where: str, edition: Edition) -> list[Note]:
    sockets = [n for n in joint.notches if n.side.axis == 0]
    pins = len(wood_between([n.span for n in sockets], part.width))
    bold = f"{count_word(pins).capitalize()} {plural('pin', pins)} {where}, half pins included."
    deep = edition.joint(max(n.depth for n in sockets))
    rest = f"The sockets are {deep} deep"
    rest += f" and take the tails of {names}." if names else "."
    return [
        Note(bold, f"{rest}{_slope(joint)} Positions are taken on the reference face."),
        *_clearance(joint, edition),
    ]


def _slot_notes(joint: EndJoint, part: Part, names: str, where: str, edition: Edition) -> list[Note]:
    rest = f"for {names}, " if names else "for a loose spline, "
    return [Note(f"Slot {where},", f"{rest}{edition.joint(slot_depth(joint, part))} deep, square to the cut end.")]


def slot_depth(joint: EndJoint, part: Part) -> Fraction:
    """How deep (mm) a slot in an end is, square to the end."""
    notch, end = joint.notches[0], part.ends[1 if joint.end.is_far else 0]
    if notch.side.axis == 0:
        return notch.depth
    second = 3 - notch.side.axis
    deepest = Fraction(0)
    for u, other in notch.outline:
        along = end.normal[0] * (u - end.point[0]) + end.normal[second] * (other - end.point[second])
        deepest = max(deepest, -along)
    flat = float(end.normal[0]) ** 2 + float(end.normal[second]) ** 2
    return Fraction(round(float(deepest) / flat**0.5 * 10**6), 10**6)

"""The words beside a joint's detail, as data: what is cut in each piece, the fit, the glue, the way it closes, repeats.

Every number comes from the solved plan and is written by the edition.
"""

from __future__ import annotations

from fractions import Fraction
from typing import Final

from planpress.base.edition import Edition
from planpress.base.printing import write_angle, write_length
from planpress.figures.callouts import count_word, drill_grid, drill_size, hole_words
from planpress.figures.joint_groups import BY_FASTENER, JointGroup, Meeting, Member
from planpress.figures.part_notes import Note
from planpress.geometry.polygons import area
from planpress.geometry.vectors import Vec, floats
from planpress.model.records import Notch, SolvedPlan
from planpress.model.tenon_sizes import squared_tenon, tenon_sizes
from planpress.work.saying import listed, lower_first, plural

NO_BREAK: Final = "\u00a0"
_TIMES: Final = f"{NO_BREAK}\u00d7{NO_BREAK}"
_SAME = Fraction(1, 10**6)
#: A sheet of office paper is about 0.1 mm thick (80 g/m2; common practice, no source); clearances up to this, mm.
_PAPER = Fraction(15, 100)
_CUTS: Final = {
    "lap": "notch",
    "housing": "housing",
    "rabbet": "rabbet",
    "groove": "groove",
    "mortise": "mortise",
    "cheek": "cheek",
    "corner": "cut-off corner",
    "slot": "slot",
    "kerf": "kerf",
    "socket": "socket",
}
#: Between the parts that arrive and those they are joined to.
_BETWEEN: Final = {
    "cross lap": "over",
    "edge lap": "over",
    "butt": "against",
    "screw": "into",
    "mitre": "to",
    "edge glue-up": "to",
}
_DEFAULT_BETWEEN: Final = "in"
_COMES: Final = (
    ((0, 0, -1), "from above"),
    ((0, 0, 1), "from below"),
    ((0, 1, 0), "from the front"),
    ((0, -1, 0), "from the back"),
    ((1, 0, 0), "from the left"),
    ((-1, 0, 0), "from the right"),
)


def joint_title(plan: SolvedPlan, group: JointGroup) -> str:
    """ "Cross lap", "End lap, 6° skew, with dowel"."""
    meeting = group.first
    words = [meeting.main.kind.capitalize()]
    if meeting.main.kind == "screw" and meeting.fasteners:
        letter = meeting.fasteners[0].partition("[")[0]
        words = [fastener.label for fastener in plan.fasteners if fastener.letter == letter]
    skews = [abs(n.skew) for member in meeting.members for n in member.notches if n.skew]
    if skews and meeting.main.kind != "mitre":
        words.append(f"{write_angle(max(skews))} skew")
    more = [kind for kind in dict.fromkeys(p.kind for p in meeting.joints[1:]) if kind != meeting.main.kind]
    if more:
        count = len(meeting.fasteners)
        words.append("with " + listed([plural(kind, max(1, count)) for kind in more]))
    return ", ".join(words)


def joint_where(group: JointGroup) -> str:
    """ "27 places: slats over bearers"."""
    labels = [_plain_labels(group, number) for number in range(2)]
    word = _BETWEEN.get(group.first.main.kind, _DEFAULT_BETWEEN)
    places = f"{group.count}{NO_BREAK}{plural('place', group.count)}"
    if labels[0] == labels[1] and group.count == 1:
        return f"{places}: two {plural(labels[0], 2)}"
    return f"{places}: {labels[0]} {word} {labels[1]}"


def _plain_labels(group: JointGroup, number: int) -> str:
    found: dict[str, set[str]] = {}
    for meeting in group.meetings:
        label = lower_first(meeting.members[number].part.label.split(",")[0])
        found.setdefault(label, set()).add(meeting.members[number].piece)
    return listed([plural(label, len(pieces)) for label, pieces in found.items()])


def joint_notes(plan: SolvedPlan, group: JointGroup, shown: Meeting, edition: Edition) -> tuple[Note, ...]:
    """What to know of the joint as it is shown, in order."""
    notes: list[Note] = []
    for number, member in enumerate(shown.members):
        notes += [note for note in _cut_notes(member, shown.members[1 - number], edition) if note not in notes]
    notes += _fit_note(shown, edition)
    for member in shown.loose:
        sizes = _TIMES.join(edition.joint(size) for size in (member.part.thickness, member.part.width))
        length = edition.length(member.part.length)
        notes.append(Note(f"{member.part.letter}:", f"{lower_first(member.part.label)}, {sizes}{_TIMES}{length}."))
    for member in shown.members:
        notes += _hole_notes(member, edition)
    notes += _fastener_notes(plan, shown, edition)
    notes.append(_closing_note(group, shown))
    for letter, other in group.mirrored():
        notes.append(Note("", f"{letter} is the mirror image of {other}."))
    return tuple(notes)


def _cut_notes(member: Member, mate: Member, edition: Edition) -> list[Note]:
    """One note for each kind of cut in a piece."""
    letter = member.part.letter
    kinds: dict[tuple[object, ...], list[Notch]] = {}
    for notch in member.notches:
        key = (notch.role, notch.depth, notch.width, notch.side.axis, notch.radius)
        kinds.setdefault(key, []).append(notch)
    notes = []
    tenon = _tenon_note(member, edition)
    if tenon is not None:
        notes.append(tenon)
    for alike in kinds.values():
        notch, count = alike[0], len(alike)
        if tenon is not None and notch.role == "cheek":
            continue
        word = _CUTS[notch.role]
        bold = (
            f"{word.capitalize()} in{NO_BREAK}{letter}:"
            if count == 1
            else f"{count} {plural(word, count)} in{NO_BREAK}{letter}:"
        )
        if notch.role == "corner":
            if tenon is None:
                sizes = _TIMES.join(edition.joint(b - a) for a, b in (notch.span, notch.across))
                notes.append(Note(f"{bold[:-1]}:", f"{sizes}, to clear the stop."))
            continue
        rest = f"{_size_words(notch, member, mate, edition)}."
        if notch.radius:
            rest += f" Corners with radius {edition.joint(notch.radius)}."
        if notch.start:
            rest += f" Begins {edition.joint(notch.start)} below the {notch.side.value}."
        notes.append(Note(bold, rest))
    return notes


def _size_words(notch: Notch, member: Member, mate: Member, edition: Edition) -> str:
    """Width and depth; of a slot through the end of a piece its width and length."""
    if notch.open_end is not None and notch.depth >= member.part.size_along(notch.side.axis) - _SAME:
        low, high = notch.span
        ends = (
            [s for u, s in notch.outline if u == low],
            [s for u, s in notch.outline if u == high],
        )
        narrow, wide = sorted(max(end) - min(end) for end in ends)
        if narrow == 0:  # it leaves a leaning end square
            deep = area(notch.outline) / notch.width
            return f"{edition.joint(notch.width)} wide, {edition.joint(deep)} deep"
        words = f"{edition.joint(narrow)} wide" if wide - narrow < _SAME else _flare(narrow, wide, edition)
        return f"{words}, {edition.joint(high - low)} long, right{NO_BREAK}through"
    return f"{edition.joint(notch.width)} wide{_as_mate(notch, mate)}, {_depth_words(notch, member, edition)}"


def _flare(narrow: Fraction, wide: Fraction, edition: Edition) -> str:
    return f"{edition.joint(narrow)} wide, at the other side {edition.joint(wide)}"


def _as_mate(notch: Notch, mate: Member) -> str:
    """Which size of the mate the width is, without its clearance."""
    if len(notch.mates) != 1:
        return ""
    size = mate.part.thickness if notch.mate_size == "thickness" else mate.part.width
    if abs(notch.width - notch.fit - size) > _SAME:
        return ""
    return f", as {mate.part.letter} is {'thick' if notch.mate_size == 'thickness' else 'wide'}"


def _depth_words(notch: Notch, member: Member, edition: Edition) -> str:
    own = member.part.size_along(notch.side.axis)
    if notch.depth >= own - _SAME:
        return "right through"
    words = f"{edition.joint(notch.depth)} deep"
    if notch.depth_share == "half" and abs(notch.depth * 2 - own) < _SAME:
        words += f", half of {edition.joint(own)}"
    return words


def _tenon_note(member: Member, edition: Edition) -> Note | None:
    """What the cheeks leave standing."""
    cheeks = [notch for notch in member.notches if notch.role == "cheek"]
    if not cheeks:
        return None
    part, end = member.part, cheeks[0].open_end
    squared = squared_tenon(part, cheeks[0].joint, end) if end else None
    left = tenon_sizes(part, cheeks[0].joint, end) if end else (part.thickness, part.width)
    length = squared.length if squared else max(notch.span[1] - notch.span[0] for notch in cheeks)
    sizes = _TIMES.join(edition.joint(size) for size in left)
    if squared:
        return Note(
            f"Tenon on{NO_BREAK}{part.letter}:",
            f"{sizes}, {edition.joint(length)} long, square to its shoulder, not along {part.letter}.",
        )
    return Note(f"Tenon on{NO_BREAK}{part.letter}:", f"{sizes}, {edition.joint(length)} long.")


def _fit_note(shown: Meeting, edition: Edition) -> list[Note]:
    fits = [notch.fit for member in shown.members for notch in member.notches if notch.role not in ("cheek", "corner")]
    if not fits:
        return []
    short = _room(shown)
    end = f" The tenon ends {edition.joint(short)} above the bottom." if short > 0 else ""
    if max(fits) == 0:
        return [Note("Fit:", "no clearance. Cut to the mate as it measures; hand pressure closes it." + end)]
    clearance = write_length(max(fits), drill_grid(edition))
    if max(fits) < drill_grid(edition).step / 2 or max(fits) < _PAPER:
        clearance = "the thickness of a sheet of paper"
    return [Note("Fit:", f"{clearance} of clearance is in the width." + end)]


def _room(shown: Meeting) -> Fraction:
    """How much deeper (mm) a blind mortise is than its tenon is long."""
    cheeks = [n.span[1] - n.span[0] for n in shown.first.notches if n.role == "cheek"]
    part = shown.second.part
    depths = [
        n.depth for n in shown.second.notches if n.role == "mortise" and n.depth < part.size_along(n.side.axis) - _SAME
    ]
    return max(depths) - max(cheeks) if cheeks and depths else Fraction(0)


def _hole_notes(member: Member, edition: Edition) -> list[Note]:
    groups: dict[tuple[str, ...], int] = {}
    for hole in member.holes:
        words = (hole.purpose.value, *hole_words(hole, 1, edition))
        groups[words] = groups.get(words, 0) + 1
    notes = []
    for (purpose, *sizes), count in groups.items():
        name = {"clearance": "clearance hole", "pilot": "pilot hole", "dowel": "hole"}[purpose]
        bold = f"{count_word(count).capitalize()} {plural(name, count)}" if count > 1 else name.capitalize()
        notes.append(Note(f"{bold} in{NO_BREAK}{member.part.letter}:", f"{', '.join(sizes)}."))
    in_place = [hole for hole in member.holes if hole.in_place]
    if in_place and notes:
        notes[-1] = Note(notes[-1].bold, f"{notes[-1].rest[:-1]}; drilled in{NO_BREAK}place.")
    return notes


def _fastener_notes(plan: SolvedPlan, shown: Meeting, edition: Edition) -> list[Note]:
    letters = dict.fromkeys(name.partition("[")[0] for name in shown.fasteners)
    notes = []
    for fastener in plan.fasteners:
        if fastener.letter in letters:
            size = f"{drill_size(fastener.diameter, edition)}, " if fastener.kind == "dowel" else ""
            label = lower_first(fastener.label)
            notes.append(Note(f"{fastener.letter}:", f"{label}, {size}{edition.length(fastener.length)} long."))
    return notes


def _closing_note(group: JointGroup, shown: Meeting) -> Note:
    """Which piece moves which way, and whether glue holds it."""
    letter = shown.first.part.letter
    glue = "Glue the dotted faces." if shown.is_glued else "No glue."
    ways = {_comes(meeting.main.direction) for meeting in group.meetings}
    if shown.main.kind in BY_FASTENER:
        if any(hole.depth is None for hole in shown.first.holes):
            return Note(f"Driven through {letter} into{NO_BREAK}{shown.second.part.letter}.", glue)
        return Note(f"{letter} closes on{NO_BREAK}{shown.second.part.letter}.", glue)
    where = _comes(shown.main.direction) + ("" if len(ways) == 1 else " as it is shown")
    return Note(f"{letter} closes {where}.", glue)


def _comes(direction: Vec) -> str:
    """From which side a piece comes that travels this way."""
    x, y, z = floats(direction)
    best = max(_COMES, key=lambda entry: round(x * entry[0][0] + y * entry[0][1] + z * entry[0][2], 6))
    return best[1]

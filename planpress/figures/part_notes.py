"""The words beside a part drawing, as data: which part a notch fits, how deep it is and why, what to measure.

Every number comes from the same record as the drawing and is written by the edition.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from fractions import Fraction

from attrs import field, frozen

from planpress.base.display import Face, TypeMeasure
from planpress.base.edition import Edition
from planpress.base.printing import on_grid, write_angle
from planpress.base.quantities import INCH
from planpress.figures.callouts import count_word, drill_size, hole_words
from planpress.figures.part_groups import is_end_cut
from planpress.model.records import Hole, Notch, Part, Side

NO_BREAK = "\u00a0"
_SAME = Fraction(1, 10**6)


@frozen
class Note:
    """A note: its first words, set bold, say the fact; `rest` follows them. `box`: a box for a measured size."""

    bold: str
    rest: str = ""
    box: bool = False


def note_height(note: Note, width: float, measure: TypeMeasure) -> float:
    """About how high (mm) a note stands in a column of this width, the gap below it included."""
    space = measure.width(" ", Face.REGULAR, 10.0)
    lines, at = 1, 0.0
    for words, face in ((note.bold, Face.SEMIBOLD), (note.rest, Face.REGULAR)):
        for word in words.split(" "):
            wide = measure.width(word, face, 10.0)
            if at > 0 and at + space + wide > width - 4.0:
                lines, at = lines + 1, 0.0
            at += wide + (space if at > 0 else 0.0)
    return lines * 4.5 + (12.0 if note.box else 0.0) + 4.5


@frozen
class NotchKind:
    """Notches of one part that are cut alike, in order along the length."""

    notches: tuple[Notch, ...] = field()

    @property
    def first(self) -> Notch:
        """The one to draw."""
        return self.notches[0]

    @property
    def mates(self) -> tuple[str, ...]:
        """Letters of the parts that go into its cuts, each once."""
        return tuple(dict.fromkeys(mate for notch in self.notches for mate in notch.mates))


def notch_kinds(part: Part) -> tuple[NotchKind, ...]:
    """The part's notches in kinds: alike in side, size, lean, mates and open end; cuts at the ends are left out."""
    kinds: dict[tuple[object, ...], list[Notch]] = {}
    for notch in part.notches:
        if is_end_cut(notch):
            continue
        low, high = notch.across
        lap = notch.role == "lap"
        key = (
            notch.side,
            round(notch.depth, 4),
            round(notch.width, 4),
            round(notch.skew, 4),
            notch.joint if notch.role == "mortise" else notch.mates,  # left and right tenons fit mortises cut alike
            notch.mate_size,
            notch.open_end,
            round(high - low, 4),
            notch.role,
            notch.start,
            notch.direction,
            notch.radius,
            (Fraction(0), Fraction(0)) if lap else (round(low, 4), round(notch.span[1] - notch.span[0], 4)),
        )
        kinds.setdefault(key, []).append(notch)
    return tuple(NotchKind(tuple(notches)) for notches in kinds.values())


def in_sentence(part: Part) -> str:
    """ "bearer B": the part's name as it stands within a sentence."""
    label = part.label
    lower = label[0].lower() + label[1:] if label[1:2].islower() or len(label) == 1 else label
    return f"{lower.split(',')[0]}{NO_BREAK}{part.letter}"


def mate_letters(notch: Notch) -> tuple[tuple[str, int], ...]:
    """Each mating letter once, with how many of its pieces lie side by side in the notch."""
    counts: dict[str, int] = {}
    for mate in notch.mates:
        counts[mate] = counts.get(mate, 0) + 1
    return tuple(counts.items())


def capsule_words(notch: Notch) -> str:
    """ "= B", "= 2 × B", "= B + C": what the width of a notch must fit."""
    terms = [f"{n}{NO_BREAK}\u00d7{NO_BREAK}{mate}" if n > 1 else mate for mate, n in mate_letters(notch)]
    return f"={NO_BREAK}" + f"{NO_BREAK}+{NO_BREAK}".join(terms)


def side_words(side: Side) -> str:
    """A side as the notes name it."""
    return {"back": "back", "face": "reference face"}.get(side.value, side.value)


def width_note(kind: NotchKind, parts: Mapping[str, Part], edition: Edition) -> Note:
    """How many notches, where, and which part each must fit; with a box for that part's measured size."""
    notch, count = kind.first, len(kind.notches)
    where = f"in the {side_words(notch.side)},"
    number = count_word(count).capitalize()
    bold = f"{number} {'notch' if count == 1 else 'notches'} {where}"
    return measured_words(bold, notch, "" if count == 1 else "each ", parts, edition)


def clearance(fit: Fraction, edition: Edition) -> str:
    """A clearance: as a size of joints if it is one, else in decimals."""
    if on_grid(fit, edition.joint_grid):
        return edition.joint(fit)
    return f"{float(fit):.2g} mm" if edition.is_metric else f"{float(fit / INCH):.3f} in"


def measured_words(bold: str, notch: Notch, each: str, parts: Mapping[str, Part], edition: Edition) -> Note:
    """Which part gives the width of a cut, its size as drawn, and a box for the size as measured."""
    thick = "thick" if notch.mate_size == "thickness" else "wide"
    mates = mate_letters(notch)
    if not mates:
        return Note(bold, "where the part would stand out of the finished joint.")
    letter, pieces = mates[0]
    if len(mates) > 1:
        names = " and ".join(in_sentence(parts[m]) for m, _ in mates)
        rest = f"{each}as wide as {names} together are {thick}."
    elif pieces > 1:
        rest = f"{each}as wide as {count_word(pieces)} of {in_sentence(parts[letter])} side by side."
    else:
        rest = f"{each}as wide as {in_sentence(parts[letter])} is {thick}."
    if notch.fit > 0:
        rest += f" Add {clearance(notch.fit, edition)} of clearance."
    size = parts[letter].size_along(2 if notch.mate_size == "thickness" else 1)
    rest += f" {letter} should measure {edition.joint(size)}; yours{NO_BREAK}measures"
    return Note(bold, rest, box=True)


def depth_note(kind: NotchKind, part: Part, parts: Mapping[str, Part], edition: Edition) -> Note:
    """How deep, and what of."""
    notch = kind.first
    own_axis = notch.side.axis
    own, own_word = part.size_along(own_axis), "width" if own_axis == 1 else "thickness"
    depth = edition.joint(notch.depth)
    if notch.depth_share == "half" and abs(notch.depth * 2 - own) < _SAME:
        bold = f"Depth is half of the {own_word} of {part.letter},"
        return Note(bold, f"{depth} for {edition.joint(own)}. Test on two offcuts until the edges are{NO_BREAK}flush.")
    if notch.depth_share == "whole":
        mate = parts[notch.mates[0]]
        for size, word in ((mate.thickness, "thickness"), (mate.width, "width")):
            if abs(size - notch.depth) < _SAME:
                bold = f"Depth is the whole {word} of {mate.letter},"
                return Note(bold, f"{depth}: only {part.letter} is notched. Test with an offcut until it lies flush.")
    return Note("Depth:", f"{depth}.")


def skew_note(kind: NotchKind) -> Note | None:
    """That shoulders lean, and where the values are taken; None if they are square."""
    notch = kind.first
    if notch.skew == 0:
        return None
    line = "reference edge" if notch.side.axis == 2 else "reference face"
    return Note(
        f"The shoulders lean {write_angle(abs(notch.skew))} from square.",
        f"Positions are taken on the {line}; carry the angle across with a bevel gauge.",
    )


def part_notes(part: Part, edition: Edition) -> tuple[Note, ...]:
    """What to know of the part as a whole: ends, turning, fitting, holes drilled later."""
    notes: list[Note] = []
    if part.fit_in_place:
        notes.append(Note("Fit in place:", "measure the length from the work; the length in the table is a guide."))
    ends = _ends_note(part)
    if ends:
        notes.append(ends)
    notes += _corner_notes(part, edition)
    if part.notches and turns_end_for_end(part):
        name = part.label.split(",")[0].lower()
        article = "an" if name[0] in "aeiou" else "a"
        notes.append(
            Note(
                "Both ends alike:",
                f"{article} {name} turned end for end still fits. Mark the reference end all the{NO_BREAK}same.",
            )
        )
    notes += _in_place_notes(part, edition)
    return tuple(notes)


def _corner_notes(part: Part, edition: Edition) -> list[Note]:
    """Corners that are cut away where a housing stops: size along and across, how many."""
    alike: dict[tuple[str, str], list[Notch]] = {}
    for notch in part.notches:
        if notch.role == "corner" and notch.side.axis:
            (near, far), (low, high) = notch.span, notch.across
            across = high - low if notch.side.axis == 2 else notch.depth
            alike.setdefault((edition.joint(far - near), edition.joint(across)), []).append(notch)
    notes = []
    for (long, wide), cuts in alike.items():
        mates = " and ".join(sorted({mate for notch in cuts for mate in notch.mates}))
        number = f"{count_word(len(cuts)).capitalize()} {'corner' if len(cuts) == 1 else 'corners'} cut away,"
        notes.append(Note(number, f"{long} along and {wide} across, to clear the stopped cut in {mates}."))
    return notes


def _ends_note(part: Part) -> Note | None:
    near, far = part.ends
    if near.is_square and far.is_square:
        return None
    if near.is_square or far.is_square:
        return Note("One end is cut square,", "the other as drawn. The length runs to the longest point.")
    plain = near.bevel == 0 and far.bevel == 0
    if plain and near.mitre == -far.mitre:
        return Note("Both ends are cut alike", "and parallel. The length runs between the longest points.")
    if plain and near.mitre == far.mitre:
        return Note("Both ends are cut alike", "but lean opposite ways. The length runs between the longest points.")
    return Note("Both ends are cut at an angle.", "The length runs between the longest points.")


def turns_end_for_end(part: Part) -> bool:
    """True if the part looks the same after half a turn about its thickness or width that keeps its notched side.

    Exact: every notch and hole has its mirror image along the length, cut alike, and both ends are square.
    """
    if not (part.ends[0].is_square and part.ends[1].is_square):
        return False

    def notch_key(n: Notch, mirrored: bool) -> tuple[object, ...]:
        near, far = n.span
        span = (part.length - far, part.length - near) if mirrored else (near, far)
        across = n.across
        if n.side.axis == 1:  # turned about v: the thickness is reversed with the length
            size = part.thickness
            across = (size - across[1], size - across[0]) if mirrored else across
        return (n.side, *span, *across, n.depth, abs(n.skew), n.role, n.radius)

    def hole_key(h: Hole, mirrored: bool) -> tuple[object, ...]:
        u = part.length - h.at[0] if mirrored else h.at[0]
        second = part.thickness - h.at[1] if mirrored and h.side.axis == 1 else h.at[1]
        return (h.side, u, second, h.diameter, h.depth)

    if any(n.side.axis != 1 for n in part.notches) or any(h.side.axis != 1 for h in part.holes):
        return False
    notches = {notch_key(n, False) for n in part.notches} == {notch_key(n, True) for n in part.notches}
    return notches and {hole_key(h, False) for h in part.holes} == {hole_key(h, True) for h in part.holes}


def hole_notes(part: Part, edition: Edition) -> list[Note]:
    """Holes in the faces in words, for drawings where rows of positions leave no room for callouts."""
    groups: dict[tuple[str, ...], int] = {}
    for hole in part.holes:
        if hole.side.axis == 2:
            words = hole_words(hole, 1, edition)
            groups[words] = groups.get(words, 0) + 1
    return [
        Note(f"{count_word(n).capitalize()} {'hole' if n == 1 else 'holes'}:", f"{', '.join(words)}.")
        for words, n in groups.items()
    ]


def _in_place_notes(part: Part, edition: Edition) -> list[Note]:
    """Holes drilled at assembly: told in words, not dimensioned."""
    sizes: dict[str, str] = {}
    for hole in part.in_place_holes:
        purpose = hole.purpose.value
        sizes.setdefault(f"{drill_size(hole.diameter, edition)} {purpose}", _depth_words(hole, edition))
    if not sizes:
        return []
    listed = "; ".join(f"{words}, {depth}" for words, depth in sizes.items())
    return [Note("Holes drilled at assembly,", f"with the mating part as a guide, not before: {listed}.")]


def _depth_words(hole: Hole, edition: Edition) -> str:
    return "through" if hole.depth is None else f"{edition.joint(hole.depth)} deep"


def all_kind_notes(kind: NotchKind, part: Part, parts: Mapping[str, Part], edition: Edition) -> tuple[Note, ...]:
    """The notes on one kind of notch, in order."""
    skew = skew_note(kind)
    notes: Sequence[Note | None] = (
        width_note(kind, parts, edition),
        depth_note(kind, part, parts, edition),
        skew,
    )
    return tuple(note for note in notes if note is not None)

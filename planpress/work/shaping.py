"""Operations on single parts, derived from the solved plan: from bought wood to smooth parts ready to join."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from planpress.model.records import Notch, Part, SolvedPlan
from planpress.work.operations import After, Kind, Operation

#: So many parts are cut in one step.
PARTS_A_STEP = 4


def parts_of(plan: SolvedPlan, pieces: Iterable[str]) -> tuple[tuple[str, int], ...]:
    """Letters with counts of some pieces, in order of letters."""
    counts: dict[str, int] = {}
    for piece in pieces:
        letter = plan.pieces[piece].letter
        counts[letter] = counts.get(letter, 0) + 1
    return tuple((part.letter, counts[part.letter]) for part in plan.parts if part.letter in counts)


def root_letter(part: Part) -> str:
    """The letter that a left-hand and a right-hand part share in names of steps."""
    return part.mirror_of or part.letter


def preparing(plan: SolvedPlan) -> list[Operation]:
    """Settle and measure, plane rough stock, square the reference ends."""
    everything = tuple(plan.pieces)
    out = [Operation("settle", Kind.SETTLE, parts_of(plan, everything), everything)]
    sizing = "wood still moves while it settles, and sizes taken too early do not last"
    for material in plan.materials:
        pieces = tuple(p for p in everything if plan.part_of(p).material.name == material.name)
        if material.form == "rough" and pieces:
            after = (After("settle", sizing),)
            out.append(Operation(f"mill {material.name}", Kind.MILL, parts_of(plan, pieces), pieces, after=after))
    mills = [After(o.id, "every end is squared from a true face and edge") for o in out if o.kind is Kind.MILL]
    out.append(
        Operation(
            "square",
            Kind.SQUARE,
            parts_of(plan, everything),
            everything,
            after=(After("settle", sizing), *mills),
        )
    )
    return out


def shaping(plan: SolvedPlan) -> list[Operation]:
    """Cut, notch, drill and smooth every part that is not fitted in place."""
    parts = [part for part in plan.parts if not part.fit_in_place]
    cuts = _cuts(plan, parts)
    cut_of = {o.letters[0]: o.id for o in cuts}
    notches = _notches(plan, parts, cut_of)
    made: dict[str, list[str]] = {}
    for notch in notches:
        if notch.kind is Kind.NOTCH:
            made.setdefault(notch.letters[0], []).append(notch.id)
    holes = [
        Operation(
            f"drill {part.letter}",
            Kind.DRILL,
            ((part.letter, part.count),),
            part.pieces,
            after=(
                After(cut_of[part.letter], "holes are measured from the finished end"),
                *(After(name, "the notches show which way round a part lies") for name in made.get(part.letter, [])),
            ),
            shown_with=f"drill {_shelf(parts, part, lambda p: bool(p.holes))}",
        )
        for part in parts
        if part.holes
    ]
    shaped = [*cuts, *notches, *holes, *_outlines(parts, [*cuts, *notches, *holes])]
    pieces = tuple(p for part in parts for p in part.pieces)
    if not pieces:
        return shaped
    edge = "marks and measures need crisp edges until the last joint is cut"
    last = [After(o.id, edge) for o in shaped if o.kind is not Kind.TEST]
    return [*shaped, Operation("smooth", Kind.SMOOTH, parts_of(plan, pieces), pieces, after=tuple(last))]


def _outlines(parts: Sequence[Part], before: Sequence[Operation]) -> list[Operation]:
    """Outlines and edges of shaped parts, mirrored ones in one step."""
    straight = "joints are marked from straight edges, and stops and fences need them"
    return [
        Operation(
            f"shape {part.letter}",
            Kind.SHAPE,
            ((part.letter, part.count),),
            part.pieces,
            after=tuple(After(o.id, straight) for o in before if o.kind is not Kind.TEST and part.letter in o.letters),
            shown_with=f"shape {_root_among(part, parts)}",
        )
        for part in parts
        if part.shape is not None
    ]


def _shelf(parts: Sequence[Part], part: Part, belongs: object) -> int:
    """In which step of its sort a part goes, a few parts to a step."""
    assert callable(belongs)
    alike = [p.letter for p in parts if belongs(p)]
    return alike.index(part.letter) // PARTS_A_STEP


def is_square_cut(part: Part) -> bool:
    """True if both ends are plain crosscuts."""
    return all(end.is_square for end in part.ends)


def _cuts(plan: SolvedPlan, parts: Sequence[Part]) -> list[Operation]:
    square = [p for p in parts if is_square_cut(p)]
    angled = [p for p in parts if not is_square_cut(p)]
    out = []
    for sort, group in (("square", square), ("angled", angled)):
        for part in group:
            out.append(
                Operation(
                    f"cut {part.letter}",
                    Kind.CUT,
                    ((part.letter, part.count),),
                    part.pieces,
                    after=(After("square", "every length is measured from the squared end"),),
                    shown_with=f"cut {sort} {_shelf(group, part, lambda p: True)}",
                )
            )
    return out


def _notches(plan: SolvedPlan, parts: Sequence[Part], cut_of: Mapping[str, str]) -> list[Operation]:
    """A test notch for each joint, then the notches of each part; mirrored parts in one step, equal settings in a
    row."""
    out: list[Operation] = []
    first_of: dict[str, Operation] = {}
    mills = {o.id for o in preparing(plan) if o.kind is Kind.MILL}
    order = {q.letter: i for i, q in enumerate(parts)}
    for part in sorted(parts, key=lambda p: (has_pins(p), order[_root_among(p, parts)])):
        together = f"notch {_root_among(part, parts)}"
        for joint in dict.fromkeys(n.joint for n in part.notches):
            mates = tuple(dict.fromkeys(m for n in part.notches if n.joint == joint for m in n.mates))
            if joint not in first_of:
                test = _test(plan, part, joint, mates, cut_of, together)
                out.append(test)
            after = [
                After(cut_of[part.letter], "the notches are measured from the finished end"),
                After(f"test {joint}", "a notch that is too wide cannot be mended"),
                *_final_size(plan, mates, mills),
            ]
            if joint in first_of and first_of[joint].shown_with != together:
                pinned = any(n.joint == joint and _is_pin_socket(n) for n in part.notches)
                why = "pins are marked from finished tails" if pinned else "the saw keeps the depth that was set there"
                after.append(After(first_of[joint].id, why))
            notch = Operation(
                f"notch {part.letter} {joint}",
                Kind.NOTCH,
                ((part.letter, part.count),),
                part.pieces,
                joints=(joint,),
                after=tuple(after),
                shown_with=together,
            )
            first_of.setdefault(joint, notch)
            out.append(notch)
    return out


def has_pins(part: Part) -> bool:
    """True if it has sockets for dovetails in an end: its pins are marked from the finished tails."""
    return any(_is_pin_socket(notch) for notch in part.notches)


def _is_pin_socket(notch: Notch) -> bool:
    return notch.kind == "dovetail" and notch.side.axis == 0


def _root_among(part: Part, parts: Sequence[Part]) -> str:
    root = root_letter(part)
    return root if any(p.letter == root for p in parts) else part.letter


def _test(
    plan: SolvedPlan, part: Part, joint: str, mates: Sequence[str], cut_of: Mapping[str, str], together: str
) -> Operation:
    letters = [letter for letter in (part.letter, *mates) if letter in cut_of]
    return Operation(
        f"test {joint}",
        Kind.TEST,
        ((part.letter, 0),),
        (),
        joints=(joint,),
        after=tuple(
            After(cut_of[letter], "the test notch is cut in what is left over of the same wood")
            for letter in dict.fromkeys(letters)
        ),
        shown_with=together,
    )


def _final_size(plan: SolvedPlan, mates: Sequence[str], mills: set[str]) -> list[After]:
    """A notch waits until what goes into it has its finished thickness."""
    out = []
    for material in dict.fromkeys(plan.part(mate).material.name for mate in mates):
        milled = f"mill {material}"
        out.append(
            After(milled if milled in mills else "settle", "a notch is made to the measured thickness of its mate")
        )
    return out

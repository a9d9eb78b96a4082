"""Set-up cards: cuts that share a machine setting, with the distances, cutters and passes that make them.

Cuts share a card if position, depth, angle, width and what goes into them agree; pieces of several parts may then be
cut without touching the blade. A card with too many stops is divided by parts; the later ones say that the setting
stays. Everything is exact; only pages round.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Sequence
from fractions import Fraction

from attrs import evolve

from planpress.base.trigonometry import cosine
from planpress.model.records import Cutter, Part, SolvedPlan
from planpress.work import setup_methods as methods
from planpress.work.error_budget import row_budget
from planpress.work.guidance import GANG_WIDTH, SHORT_PART, STOP_CLEAR
from planpress.work.setup_card import CardPart, CutterRow, SetupCard, StopRow
from planpress.work.setup_cuts import SAME, MachineCut, Position, machine_cut
from planpress.work.setup_methods import Method, TooWideError

#: A card of several parts with more stops than this is divided by parts.
MOST_STOPS = 9


def setup_cards(plan: SolvedPlan) -> tuple[SetupCard, ...]:
    """All set-up cards of a plan, in order of their first parts."""
    groups: list[list[MachineCut]] = []
    for cut in _cuts(plan):
        group = next((g for g in groups if _share(plan, g[0], cut)), None)
        if group is None:
            groups.append([cut])
        else:
            group.append(cut)
    cards: list[SetupCard] = []
    for cuts in itertools.chain.from_iterable(_divided(group) for group in groups):
        card = _card(plan, cuts)
        like = next((one.number for one in cards if _same_setting(one, card)), None)
        cards.append(evolve(card, number=len(cards) + 1, like=like))
    return tuple(cards)


def _same_setting(a: SetupCard, b: SetupCard) -> bool:
    """True if the cutter keeps its height and the fence its angle from one card to the other."""
    return a.position is b.position and abs(a.depth - b.depth) <= SAME and abs(a.skew - b.skew) <= SAME


def _cuts(plan: SolvedPlan) -> Iterable[MachineCut]:
    for part in plan.parts:
        for notch in part.notches:
            cut = machine_cut(part, notch)
            if cut is not None:
                yield cut


def method_of(cut: MachineCut, plan: SolvedPlan) -> Method:
    """The best way to set a cut.

    Along the rip fence two settings of it. At an end only a shoulder is needed. A single notch in the middle comes out
    central by itself if the piece is turned. If a mate's own thickness is the width, its offcut takes up what the wood
    differs from the plan. Else (skewed, or nothing goes in whose size is the width) a spacer is computed.
    """
    if cut.lie.position is Position.ALONG:
        return Method.FENCE
    if cut.opens_at_stop:
        return Method.SHOULDER
    if _is_central(cut):
        return Method.CENTRED
    if cut.lie.position is Position.ACROSS and cut.leans == 0 and _mates_fill(cut, plan):
        return Method.OFFCUT
    return Method.SPACER


def _is_central(cut: MachineCut) -> bool:
    """True for the only notch of its side, in the middle of a piece with square ends."""
    alone = sum(notch.side is cut.notch.side for notch in cut.part.notches) == 1
    square = cut.leans == 0 and all(end.is_square for end in cut.part.ends)
    across = cut.lie.position is Position.ACROSS
    return alone and square and across and abs(cut.near + cut.far - cut.size) <= SAME


def _mates_fill(cut: MachineCut, plan: SolvedPlan) -> bool:
    """True if what goes in is as wide as the notch, less its fit."""
    notch = cut.notch
    axis = ("length", "width", "thickness").index(notch.mate_size)
    sizes = [plan.part(m).size_along(axis) for m in notch.mates]
    return bool(sizes) and abs(sum(sizes, Fraction(0)) + notch.fit - cut.width) <= SAME


def _share(plan: SolvedPlan, a: MachineCut, b: MachineCut) -> bool:
    """True if two cuts go on one card."""
    numbers = zip(_settings(a), _settings(b), strict=True)
    kinds = [
        (
            method_of(c, plan),
            c.lie.position,
            c.leans,
            c.notch.mate_size,
            c.notch.depth_share,
            len(c.notch.mates),
            sorted({plan.part(m).material.name for m in c.notch.mates}),
        )
        for c in (a, b)
    ]
    central = method_of(a, plan) is Method.CENTRED
    return kinds[0] == kinds[1] and all(abs(x - y) <= SAME for x, y in numbers) and (not central or a.size == b.size)


def _settings(cut: MachineCut) -> tuple[Fraction, ...]:
    return (cut.depth, cut.skew, cut.width, cut.notch.width, cut.notch.fit)


def _divided(cuts: list[MachineCut]) -> list[list[MachineCut]]:
    """All cuts on one card, or a card for each part (a left and a right one together) if there are too many stops."""
    if len(_stops(cuts)) <= MOST_STOPS:
        return [cuts]
    by_part: dict[str, list[MachineCut]] = {}
    for cut in cuts:
        by_part.setdefault(cut.part.mirror_of or cut.part.letter, []).append(cut)
    return list(by_part.values())


def _card(plan: SolvedPlan, cuts: Sequence[MachineCut]) -> SetupCard:
    first = cuts[0]
    notch, method = first.notch, method_of(first, plan)
    stops = _stops(cuts)
    parts = _parts(cuts)
    longest = max(sum(c.part is part for c in cuts) for part in {c.part.letter: c.part for c in cuts}.values())
    row = longest > 1 and method is not Method.SHOULDER
    mates = list(dict.fromkeys(m for cut in cuts for m in cut.notch.mates))
    return SetupCard(
        method=method,
        position=first.lie.position,
        parts=parts,
        stops=stops,
        width=first.width,
        across=notch.width,
        fit=notch.fit,
        mates=tuple(mates),
        mate_size=notch.mate_size,
        abreast=max(1, len(notch.mates)),
        role=notch.role,
        depth=first.depth,
        depth_share=notch.depth_share,
        skew=first.skew,
        leans=first.leans,
        size=first.size,
        height=first.part.size_along(first.lie.down.axis),
        slanted_end=first.leans != 0 and not first.part.ends[first.lie.at_stop.is_far].is_square,
        cutters=_cutters(plan, first, method),
        overlap=plan.shop.overlap,
        budget=row_budget(longest, plan.shop.setting_error) if row else None,
    )


def _stops(cuts: Sequence[MachineCut]) -> tuple[StopRow, ...]:
    """Rows of equal places, the parts in order of letters, each part's places from its stop outwards."""
    rows: list[StopRow] = []
    for cut in sorted(cuts, key=lambda c: (_rank(cuts, c), round(c.near, 3), c.part.hand != "left")):
        own = ((cut.part.letter, cut.part.count),)
        same = next((i for i, r in enumerate(rows) if _same_place(r, cut)), None)
        if same is None:
            rows.append(StopRow("", cut.near, cut.far, own, (cut.notch.joint,)))
        else:
            row = rows[same]
            joints = tuple(dict.fromkeys((*row.joints, cut.notch.joint)))
            rows[same] = evolve(row, pieces=_added(row.pieces, own), joints=joints)
    return tuple(evolve(row, label=_label(i)) for i, row in enumerate(rows))


def _rank(cuts: Sequence[MachineCut], cut: MachineCut) -> int:
    """The place of a part among those of a card; a right-hand part ranks with its left-hand one."""
    roots = list(dict.fromkeys(c.part.mirror_of or c.part.letter for c in cuts))
    return roots.index(cut.part.mirror_of or cut.part.letter)


def _same_place(row: StopRow, cut: MachineCut) -> bool:
    return abs(row.near - cut.near) <= SAME and abs(row.far - cut.far) <= SAME


def _added(pieces: tuple[tuple[str, int], ...], more: tuple[tuple[str, int], ...]) -> tuple[tuple[str, int], ...]:
    """Counts by letter; two cuts of one part at one place (both faces, both ends) count twice."""
    counts: dict[str, int] = {}
    for letter, count in (*pieces, *more):
        counts[letter] = counts.get(letter, 0) + count
    return tuple(counts.items())


def _label(index: int) -> str:
    """ "a" to "z", then "aa"."""
    first, last = divmod(index, 26)
    return (_label(first - 1) if first else "") + chr(ord("a") + last)


def _parts(cuts: Sequence[MachineCut]) -> tuple[CardPart, ...]:
    out: dict[str, CardPart] = {}
    for cut in cuts:
        known = out.get(cut.part.letter)
        if known is not None:
            turned = known.both_ways or cut.lie.stop_is_left is not known.lie.stop_is_left
            out[cut.part.letter] = evolve(known, notches=known.notches + 1, both_ways=turned)
            continue
        part = cut.part
        short = part.length < SHORT_PART
        out[part.letter] = CardPart(part.letter, part.count, 1, cut.lie, False, _gang(cut), short)
    return tuple(out.values())


def _gang(cut: MachineCut) -> int:
    """How many pieces may lie side by side and be cut as one; 1: each by itself.

    Ends must come flush at the stop, which slanted ones do not, and what runs along the rip fence goes singly.
    """
    if cut.leans or cut.lie.position is Position.ALONG or not all(end.is_square for end in cut.part.ends):
        return 1
    beside: Part = cut.part
    return max(1, min(beside.count, int(GANG_WIDTH // beside.size_along(cut.lie.at_fence.axis))))


def _cutters(plan: SolvedPlan, cut: MachineCut, method: Method) -> tuple[CutterRow, ...]:
    """The shop's cutters that are narrow enough: for the notch, or to stand clear of the stop at a shoulder."""
    slant = cosine(cut.skew) if cut.leans else Fraction(1)
    rows = []
    for cutter in plan.shop.cutters:
        row = _cutter_row(cutter, cutter.kerf / slant, cut, method, plan.shop.overlap)
        if row is not None:
            rows.append(row)
    return tuple(rows)


def _cutter_row(
    cutter: Cutter, along: Fraction, cut: MachineCut, method: Method, overlap: Fraction
) -> CutterRow | None:
    if method is Method.SHOULDER and cut.far - along < STOP_CLEAR:
        return None
    if method is Method.SHOULDER:
        return CutterRow(
            cutter.name, cutter.kerf, along, None, len(methods.from_shoulder(cut.near, cut.far, along, overlap).all)
        )
    try:
        passes = methods.pass_count(cut.width, along, overlap)
    except TooWideError:
        return None
    spacer = methods.spacer_for(cut.width, along) if method is Method.SPACER else None
    if method is Method.OFFCUT:
        spacer = along
    return CutterRow(cutter.name, cutter.kerf, along, spacer, passes)

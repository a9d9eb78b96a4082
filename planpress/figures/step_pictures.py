"""Pictures of one step of the work: new pieces dark, what they meet lighter, what stood before as light grey lines."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from planpress.base.display import Figure, Item, Pen
from planpress.figures import style
from planpress.figures.balloons import balloons_around
from planpress.figures.pictures import (
    FASTENER_INK,
    SMALL_FASTENER,
    SOLID_INK,
    Drawing,
    Ink,
    count_words,
    fitted,
)
from planpress.figures.scenes import Offset, PieceSolids, Placed, Scenes, View
from planpress.geometry.views import PICTURE_AZIMUTH
from planpress.model.records import SolvedPlan

NEW_INK = Ink(
    ("#EBEBE7", "#CFCFCA", "#B6B6B0"),
    style.THIN,
    Pen(style.PIECE, style.INK),
    Pen(style.PIECE, style.INK),
)
#: The piece on its way.
MOVING_INK = Ink(NEW_INK.tints, style.THIN, Pen(0.4, style.INK), Pen(0.4, style.INK))
MET_INK = Ink(
    ("#FFFFFF", "#F1F1EE", "#E6E6E2"),
    Pen(style.HAIR, style.SECONDARY),
    Pen(style.PIECE, style.SECONDARY),
    Pen(style.PIECE, style.SECONDARY),
)
EARLIER_INK = Ink(
    ("#FFFFFF", "#FAFAF8", "#F4F4F1"),
    Pen(style.HAIR, style.GREY_2),
    Pen(style.HAIR, style.GREY_2),
    Pen(style.HAIR, style.GREY_2),
)
#: Shares of the frame that are tried until the balloons find room.
_SHARES = (1.0, 0.85, 0.7)
#: A piece alone is drawn at no more than this share of what the frame allows, unless it is as small as 1 : 5 then, and
#: never larger than the third of these, of its true size: else a short one would look bulky beside the others.
_ALONE_SHARE, _ALONE_SMALL, _ALONE_LARGEST = 0.8, 0.2, 0.6
#: Fasteners not yet driven stand out by their length and this much of it.
_STAND_OUT = 0.35
#: Opposite the usual view, degrees.
_BEHIND = PICTURE_AZIMUTH + 180.0


def step_picture(
    plan: SolvedPlan,
    solids: PieceSolids,
    scenes: Scenes,
    *,
    new: Sequence[str],
    in_motion: Sequence[tuple[Sequence[str], Offset]] = (),
    earlier: Sequence[str] = (),
    met: Sequence[str] = (),
    fasteners: Sequence[str] = (),
    balloons: Sequence[str] = (),
    turned_over: bool = False,
    from_behind: bool = False,
    width: float = 100.0,
    height: float = 95.0,
) -> Figure:
    """A moment of one step.

    Args:
        new: ids of the pieces this step brings.
        in_motion: which of them are on their way, and how far (mm, world) from their place they are.
        earlier, met: ids of pieces that stand already, and of those among them that the new ones meet.
        fasteners: ids ("H[0]") of fasteners about to be driven, or letters for all of a kind; they stand out of
            their holes.
        balloons: letters that get one.
        turned_over: the work lies upside down, turned about its length. from_behind: seen from behind and above.
        width, height: of the frame, mm.
    """
    del solids  # the scenes hold them
    view = View(azimuth=_BEHIND if from_behind else PICTURE_AZIMUTH, turned_over=turned_over)
    driven = _fastener_ids(scenes, fasteners)
    moved = {name: offset for names, offset in in_motion for name in names}
    on_the_way = [name for name in moved if name not in driven]
    settled = [name for name in new if name not in moved]
    meeting = [name for name in met if name not in moved and name not in settled]
    before = [name for name in earlier if name not in moved and name not in settled and name not in meeting]
    inks: dict[str, Ink] = {}
    for names, ink in ((on_the_way, MOVING_INK), (settled, NEW_INK), (meeting, MET_INK), (before, EARLIER_INK)):
        inks.update(dict.fromkeys(names, ink))
    placed = [Placed(name, _offset(moved.get(name, (0.0, 0.0, 0.0)))) for name in inks]
    placed += [Placed(name, _standing_out(scenes, name, moved)) for name in driven]
    sight = scenes.sight(view, placed)

    def ink_of(name: str) -> Ink:
        if name in inks:
            return inks[name]
        small = float(scenes.fasteners[name][0].diameter) * drawing.scale < SMALL_FASTENER
        return SOLID_INK if small else FASTENER_INK

    largest = 1.0
    if len(placed) == 1:
        most = fitted(sight, (0.0, 0.0, width, height)).scale
        largest = min(max(_ALONE_SHARE * most, _ALONE_SMALL), _ALONE_LARGEST)
    drawing: Drawing
    marks: list[Item] = []
    for share in _SHARES:
        side, rise = width * (1 - share) / 2, height * (1 - share) / 2
        drawing = fitted(sight, (side, rise, width - side, height - rise), largest=largest)
        marks, good = balloons_around(scenes, drawing, balloons, width, height)
        if good:
            break
    items = [*drawing.items(ink_of, close=0.0), *marks]
    alt = _alt(plan, scenes, inks, driven, moved, turned_over, from_behind)
    return Figure(width, height, tuple(items), alt)


def _offset(offset: Offset) -> Offset:
    x, y, z = offset
    return (float(x), float(y), float(z))


def _fastener_ids(scenes: Scenes, fasteners: Sequence[str]) -> list[str]:
    out: dict[str, None] = {}
    for asked in fasteners:
        if asked in scenes.fasteners:
            out[asked] = None
        else:
            out.update(dict.fromkeys(name for name in scenes.fasteners if scenes.letter(name) == asked))
    return list(out)


def _standing_out(scenes: Scenes, name: str, moved: Mapping[str, Offset]) -> Offset:
    """How far a fastener stands from its place: clear of the wood, with the piece it goes through."""
    if name in moved:
        return _offset(moved[name])
    fastener, place = scenes.fasteners[name]
    way = np.array([float(c) for c in place.direction]) * float(fastener.length) * (1 + _STAND_OUT)
    x, y, z = (np.array(moved.get(place.first, (0.0, 0.0, 0.0))) - way).tolist()
    return (x, y, z)


def _alt(
    plan: SolvedPlan,
    scenes: Scenes,
    inks: Mapping[str, Ink],
    driven: Sequence[str],
    moved: Mapping[str, Offset],
    turned_over: bool,
    from_behind: bool,
) -> str:
    """What the picture shows, in one or two sentences."""
    kinds = ((NEW_INK, "New"), (MOVING_INK, "On the way to its place"), (MET_INK, "Joined to"))
    words = [
        f"{said}: {count_words(scenes, names)}."
        for ink, said in kinds
        if (names := [name for name in inks if inks[name] is ink])
    ]
    if driven:
        words.append(f"To be driven: {count_words(scenes, driven)}.")
    before = sum(1 for ink in inks.values() if ink is EARLIER_INK)
    if before:
        words.append(f"{before} of {len(plan.pieces)} pieces stand already, drawn light.")
    side = "upside down, " if turned_over else ""
    place = "behind, right," if from_behind else "the front left"
    return f"The work {side}seen from {place} and above. " + " ".join(words)

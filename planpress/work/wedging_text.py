"""What is told of wedged tenons: the wedges to be made, the flare of the mortises, how they are driven."""

from __future__ import annotations

from attrs import frozen

from planpress.model.records import JointPlace, SolvedPlan
from planpress.model.wedges import Wedges, wedge_sizes
from planpress.work.places import Meeting
from planpress.work.saying import Say, in_words, listed, plural
from planpress.work.telling import Telling


@frozen
class WedgeRow:
    """Wedges of one size. count: of all tenons; mates: letters of the parts with the mortises."""

    wedges: Wedges
    count: int
    tenons: int
    mates: tuple[str, ...]


def wedge_rows(plan: SolvedPlan, places: tuple[JointPlace, ...]) -> list[WedgeRow]:
    """Wedges of some joint places, those of one size together."""
    rows: list[WedgeRow] = []
    for place in places:
        wedges = wedge_sizes(plan, place) if place.kind == "mortise and tenon" else None
        if wedges is None:
            continue
        mate = plan.pieces[place.second].letter
        same = next((i for i, row in enumerate(rows) if row.wedges == wedges), None)
        if same is None:
            rows.append(WedgeRow(wedges, wedges.count, 1, (mate,)))
        else:
            row = rows[same]
            mates = tuple(dict.fromkeys((*row.mates, mate)))
            rows[same] = WedgeRow(wedges, row.count + wedges.count, row.tenons + 1, mates)
    return rows


def wedge_words(wedges: Wedges, say: Say) -> str:
    """ "1/8 thick at the thick end, 3/4 wide, 15/16 long": the thin end comes to an edge."""
    thick, wide, long = (say.joint(size) for size in (wedges.thickness, wedges.width, wedges.length))
    return f"{thick} thick at the thick end, {wide} wide, {long} long"


def before_glue(telling: Telling, met: Meeting) -> list[str]:
    """Wedges to be made and mortises to be flared before glue is spread."""
    say, lines = telling.say, []
    for row in wedge_rows(telling.plan, met.places):
        count = row.count * met.copies
        many = f"{in_words(count)} {plural('wedge', count)}"
        lines.append(f"Make {many} of hard wood, grain along: {wedge_words(row.wedges, say)}, tapered to an edge.")
        if row.wedges.flare > 0:
            lines.append(
                f"Pare both ends of each mortise in {listed(list(row.mates))} back by {say.joint(row.wedges.flare)}"
                " where the tenon comes out, running out to nothing at the other side: the wedges fill it."
            )
    return lines


def after_closing(telling: Telling, met: Meeting) -> list[str]:
    """How the wedges are driven, and what stands out is cut."""
    rows = wedge_rows(telling.plan, met.places)
    if not rows:
        return []
    each = "a wedge" if all(row.count == row.tenons for row in rows) else "its wedges by turns"
    return [
        f"Put glue on the wedges and tap {each} into each tenon until the sound is dull; do not force them. When dry,"
        " saw off what stands out and plane it flush."
    ]


def wedge_tools(telling: Telling, met: Meeting) -> tuple[str, ...]:
    """What wedging needs beyond a glue-up."""
    return ("fine saw", "chisel", "hammer", "block plane") if wedge_rows(telling.plan, met.places) else ()

"""Solve a description for one edition: values, pieces, joints, parts."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from fractions import Fraction
from typing import Literal, cast

from attrs import evolve, frozen

from planpress.base.diagnostics import Findings
from planpress.base.printing import Units
from planpress.base.quantities import Quantity
from planpress.description.records import Description
from planpress.geometry.polygons import area
from planpress.geometry.vectors import SAME, Vec, dot, sub
from planpress.model.blanks import Blank, EndPlane, RawNotch
from planpress.model.congruence import (
    Signature,
    Turning,
    is_square,
    on_side,
    signature,
    turn_blank,
    turnings,
    upright_turning,
)
from planpress.model.cutting import Settings
from planpress.model.joining import Joiner
from planpress.model.laps import snapped_degrees
from planpress.model.placing import place_parts, solve_materials
from planpress.model.reach import outer_corners
from planpress.model.records import AssemblyGroup, EndCut, Fastener, Hole, Notch, Part, Piece, Side, SolvedPlan
from planpress.model.shape_volume import lost_to_shape
from planpress.model.shop import solve_shop
from planpress.model.tenon_sizes import leans_within
from planpress.model.values import solve_values

#: Letters of balloons; I, O, Q, S, X, Z read as numbers or as each other (common practice, no source), G as C.
LETTERS = "ABCDEFHJKLMNPRTUVWY"


def letter(index: int) -> str:
    """The letter of the index-th row: A, B, ... Y, AA, AB ..."""
    first, last = divmod(index, len(LETTERS))
    return (LETTERS[first - 1] if first else "") + LETTERS[last]


def solve(
    description: Description,
    units: Units = Units.IMPERIAL,
    size: str = "",
    overrides: Mapping[str, str | Quantity] | None = None,
) -> SolvedPlan:
    """The model of one edition.

    Args:
        size: name of one of the plan's sizes, or "".
        overrides: values by parameter name, as text ("52 in") or quantities.

    Raises:
        PlanFaults: with every fault found: values out of range, broken requirements, parts that miss each other.
    """
    findings = Findings()
    values = solve_values(description, units, size, overrides or {}, findings)
    findings.raise_errors()
    materials = solve_materials(description, values.names, units, findings)
    placed = place_parts(description, values.names, materials, findings)
    findings.raise_errors()
    settings = Settings(values.names, units, materials)
    shop = solve_shop(description.shop, settings, findings)
    joiner = Joiner(list(placed.blanks), settings, findings)
    joiner.join(description.joints)
    findings.raise_errors()
    blanks = joiner.blanks
    families = _families(blanks)
    parts, letters = _parts(families)
    pieces = {b.id: _piece(b, letters[b.id]) for b in blanks}
    low, high = _extent(placed.blanks, parts, pieces)  # loose pieces lie inside their members
    masses = [p.mass * p.count if p.mass is not None else None for p in parts]
    return SolvedPlan(
        description=description,
        units=units,
        size=size,
        values=values.names,
        changed=values.changed,
        materials=tuple(materials.values()),
        parts=parts,
        fasteners=_lettered(joiner.fasteners, len(parts)),
        pieces=pieces,
        assemblies=tuple(_completed(group, blanks) for group in placed.assemblies),
        joints=tuple(joiner.places),
        low=low,
        high=high,
        mass=None if None in masses else sum(m for m in masses if m is not None),
        shop=shop,
        warnings=tuple(findings.items),
    )


#: Sizes (mm) that differ more are never the same in a signature.
_NEAR = Fraction(1, 1000)


def _completed(group: AssemblyGroup, blanks: Sequence[Blank]) -> AssemblyGroup:
    """The group with the loose pieces that its joints have asked for."""
    return evolve(group, pieces=tuple(b.id for b in blanks if b.assembly == (group.name, group.index)))


def _extent(blanks: Sequence[Blank], parts: Sequence[Part], pieces: Mapping[str, Piece]) -> tuple[Vec, Vec]:
    """Least and greatest corner of all pieces; shaped ones, and tenons that lean in their sticks, reach as far as their
    solids do."""
    corners: list[Vec] = []
    by_solid = [part for part in parts if part.shape is not None or any(leans_within(n, part) for n in part.notches)]
    if by_solid:
        from planpress.model.solid_reach import solid_corners  # loads numpy, which most plans can be solved without

        corners += solid_corners(by_solid, pieces)
    letters = {part.letter for part in by_solid}
    for blank in blanks:
        if pieces[blank.id].letter not in letters:
            corners += outer_corners(blank)
    low: Vec = (min(c[0] for c in corners), min(c[1] for c in corners), min(c[2] for c in corners))
    high: Vec = (max(c[0] for c in corners), max(c[1] for c in corners), max(c[2] for c in corners))
    return low, high


@frozen
class _Family:
    """Congruent pieces; the first one's coordinates are the part's."""

    blanks: list[Blank]
    signature: Signature


def _families(blanks: Sequence[Blank]) -> list[_Family]:
    """Sort pieces into families and turn each piece's coordinates into those of its family."""
    families: dict[tuple[str, bool], list[_Family]] = {}
    ordered: list[_Family] = []
    for blank in blanks:
        shelf = families.setdefault((blank.material.name, blank.record.fit_in_place), [])
        if not _joined_to_family(blank, shelf):
            turn_blank(blank, upright_turning(blank))
            family = _Family([blank], signature(blank, Turning()))
            shelf.append(family)
            ordered.append(family)
    return ordered


def _joined_to_family(blank: Blank, shelf: Sequence[_Family]) -> bool:
    for turning in turnings(is_square(blank), mirroring=False):
        looks = signature(blank, turning)
        for family in shelf:
            if family.signature == looks:
                turn_blank(blank, turning)
                family.blanks.append(blank)
                return True
    return False


def _parts(families: Sequence[_Family]) -> tuple[tuple[Part, ...], dict[str, str]]:
    """Parts with letters in order of first use, and the letter of every piece."""
    letters = {b.id: letter(i) for i, family in enumerate(families) for b in family.blanks}
    twins = _mirror_pairs(families)
    parts = []
    for i, family in enumerate(families):
        twin = twins.get(i)
        hand: Literal["left", "right", ""] = "" if twin is None else ("left" if i < twin else "right")
        parts.append(_part(family, letter(i), hand, letter(twin) if twin is not None and twin < i else None, letters))
    return tuple(_numbered(parts)), letters


def _mirror_pairs(families: Sequence[_Family]) -> dict[int, int]:
    """Index of each family's mirror image, for those that have one."""
    pairs: dict[int, int] = {}
    for j, family in enumerate(families):
        blank = family.blanks[0]
        free = [i for i in range(j) if i not in pairs and _same_stock(families[i].blanks[0], blank)]
        looks = {signature(blank, t) for t in turnings(is_square(blank), mirroring=True)} if free else set()
        twin = next((i for i in free if families[i].signature in looks), None)
        if twin is not None:
            pairs[twin], pairs[j] = j, twin
    return pairs


def _same_stock(a: Blank, b: Blank) -> bool:
    """True if two sticks are of one material and, as near as signatures tell, of one size, turned or not."""
    sizes = (sorted(one.sizes) for one in (a, b))
    return a.material.name == b.material.name and all(abs(x - y) < _NEAR for x, y in zip(*sizes, strict=True))


def _numbered(parts: Sequence[Part]) -> list[Part]:
    """Tell unlike parts of one name apart: "Slat, 1st kind", "Slat, 2nd kind"."""
    by_label: dict[str, list[int]] = {}
    for i, part in enumerate(parts):
        by_label.setdefault(part.label, []).append(i)
    out = list(parts)
    for label, rows in by_label.items():
        if len(rows) > 1:
            for k, row in enumerate(rows, start=1):
                out[row] = evolve(parts[row], label=f"{label}, {k}{_ordinal(k)} kind")
    return out


def _ordinal(k: int) -> str:
    if 10 <= k % 100 <= 20:
        return "th"
    return {1: "st", 2: "nd", 3: "rd"}.get(k % 10, "th")


def _part(
    family: _Family,
    own_letter: str,
    hand: Literal["left", "right", ""],
    mirror_of: str | None,
    letters: Mapping[str, str],
) -> Part:
    blank = family.blanks[0]
    labels = list(dict.fromkeys(b.record.label for b in family.blanks))
    label = labels[0] if len(labels) == 1 else ", ".join([labels[0], *(w[0].lower() + w[1:] for w in labels[1:])])
    ends = (_end_cut(blank.near, Side.NEAR_END), _end_cut(blank.far, Side.FAR_END))
    notches = sorted((_notch(n, blank, letters) for n in blank.notches), key=lambda n: (n.span, n.side.value))
    ready = sorted((h for h in blank.holes if not h.in_place), key=_hole_order)
    in_place = sorted(
        dict.fromkeys(h for b in family.blanks for h in b.holes if h.in_place),
        key=_hole_order,
    )
    part = Part(
        letter=own_letter,
        name=blank.record.name,
        label=f"{label}, {hand}-hand" if hand else label,
        hand=hand,
        mirror_of=mirror_of,
        material=blank.material,
        thickness=blank.thickness,
        width=blank.width,
        length=blank.length,
        ends=ends,
        notches=tuple(notches),
        holes=tuple(ready),
        in_place_holes=tuple(in_place),
        reference_edge=_reference_edge(blank),
        pieces=tuple(b.id for b in family.blanks),
        mass=_mass(blank),
        fit_in_place=blank.record.fit_in_place,
        remark=blank.record.remark,
        shape=blank.shape,
    )
    return evolve(part, mass=_true_mass(part)) if _cuts_overlap(part) else part


def _hole_order(hole: Hole) -> tuple[object, ...]:
    return (hole.at, hole.side.value, hole.joint)


def _end_cut(end: EndPlane, side: Side) -> EndCut:
    """Mitre and bevel from the plane: how u changes with v and with w."""
    sign = 1 if side is Side.FAR_END else -1
    u, v, w = end.normal
    mitre, bevel = (snapped_degrees(math.degrees(math.atan(float(-n / u)))) * sign for n in (v, w))
    return EndCut(side, end.point, end.normal, mitre, bevel, end.target)


def _notch(raw: RawNotch, blank: Blank, letters: Mapping[str, str]) -> Notch:
    outline = [on_side(raw.side, p) for p in raw.outline]
    if area(outline) < 0:
        outline.reverse()
    return Notch(
        side=raw.side,
        outline=tuple(outline),
        depth=raw.depth,
        width=raw.width,
        fit=raw.fit,
        skew=raw.skew,
        open_end=_open_end(raw, blank),
        mates=tuple(letters[m] for m in raw.mates),
        mate_size=cast(Literal["thickness", "width", "length"], raw.mate_size),
        joint=raw.joint,
        kind=raw.kind,
        depth_share=cast(Literal["half", "whole", "given"], raw.depth_share),
        role=raw.role,
        start=raw.start,
        direction=raw.direction,
        radius=raw.radius,
    )


def _open_end(raw: RawNotch, blank: Blank) -> Side | None:
    """The end a notch runs out of: two of its corners lie on that end's plane."""
    for plane, side in ((blank.near, Side.NEAR_END), (blank.far, Side.FAR_END)):
        reached = [p for p in raw.outline if abs(dot(plane.normal, sub(p, plane.point))) <= 10 * SAME]
        if len(reached) >= 2:
            return side
    return None


def _reference_edge(blank: Blank) -> Side:
    """The edge no notch opens on; else the one that reaches the reference end; else the lower one."""
    notched = [any(n.side is side for n in blank.notches) for side in (Side.LOWER, Side.UPPER)]
    if notched[0] != notched[1]:
        return Side.UPPER if notched[0] else Side.LOWER
    lower = min(blank.near.u_at(Fraction(0), w) for w in (Fraction(0), blank.thickness))
    upper = min(blank.near.u_at(blank.width, w) for w in (Fraction(0), blank.thickness))
    return Side.UPPER if upper < lower - SAME else Side.LOWER


def _mass(blank: Blank) -> float | None:
    """kg of one piece: the trimmed stick less its notches; holes are too small to count."""
    if blank.material.density is None:
        return None
    edges = [(v, w) for v in (Fraction(0), blank.width) for w in (Fraction(0), blank.thickness)]
    mean_length = sum((blank.far.u_at(v, w) - blank.near.u_at(v, w) for v, w in edges), Fraction(0)) / 4
    volume = mean_length * blank.width * blank.thickness
    if blank.shape is not None:
        volume -= lost_to_shape(blank.shape, blank.length, blank.width, blank.thickness)
    for notch in blank.notches:
        volume -= abs(area([on_side(notch.side, p) for p in notch.outline])) * notch.depth
    return float(volume) * 1e-9 * blank.material.density


#: Cuts that may share wood with others: beside a tenon, at its corners, in it.
_OVERLAPPING = ("cheek", "corner", "kerf", "slot", "socket")


def _cuts_overlap(part: Part) -> bool:
    """True if wood would be taken off twice by adding up the cuts."""
    shaped = part.shape is not None and bool(part.notches)
    return part.mass is not None and (shaped or any(notch.role in _OVERLAPPING for notch in part.notches))


def _true_mass(part: Part) -> float:
    """kg of one piece, from its solid; to a milligram, so that every machine finds the same number."""
    from planpress.model.solids import part_solid  # the solids' kernel is loaded only where it is needed

    density = part.material.density
    if density is None:
        raise ValueError("a mass needs a density")
    return round(part_solid(part).volume * 1e-9 * density, 6)


def _piece(blank: Blank, own_letter: str) -> Piece:
    return Piece(
        id=blank.id,
        letter=own_letter,
        name=blank.record.name,
        assembly=blank.assembly,
        repeat=blank.repeat,
        frame=blank.frame,
        in_place_holes=tuple(h for h in blank.holes if h.in_place),
    )


def _lettered(fasteners: Sequence[Fastener], parts: int) -> tuple[Fastener, ...]:
    """Bought fasteners get the letters after the parts'; alike ones of several joints share a row."""
    rows: dict[tuple[object, ...], list[Fastener]] = {}
    for loose in fasteners:
        key = (loose.kind, loose.label, loose.diameter, loose.length, loose.material, loose.remark)
        rows.setdefault(key, []).append(loose)
    return tuple(
        evolve(same[0], letter=letter(parts + i), places=tuple(p for loose in same for p in loose.places))
        for i, same in enumerate(rows.values())
    )

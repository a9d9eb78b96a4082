"""Rules on screws and dowels: they hold, they stay inside the wood, and each has a hole."""

from __future__ import annotations

from fractions import Fraction
from typing import Final

from planpress.base.diagnostics import Diagnostic
from planpress.checks.checking import Checking, Found, error, listed_once, warning
from planpress.geometry.vectors import Frame, add, dot, scale, sub
from planpress.model.congruence import hole_point
from planpress.model.records import Fastener, FastenerPlace, Hole, Part
from planpress.work.fastening_text import wood_left

#: Wood (mm) beyond the point of a screw or the bottom of a hole; an eighth of an inch (common practice, no source).
LEAST_BEYOND: Final = Fraction(3)
#: Thread (mm) in the receiving piece: an inch, or two thirds of a short screw (common practice, no source).
LEAST_THREAD: Final = Fraction(25)
#: From this cosine between screw and grain on, it sits in end grain. The National Design Specification for Wood
#: Construction gives end grain no withdrawal value (as reported).
_ALONG_GRAIN: Final = Fraction(9, 10)


def inside(checking: Checking) -> Found:
    """P64: no screw or dowel comes out at the far side."""
    found: list[tuple[str, Diagnostic]] = []
    for fastener, place, joint in _places(checking):
        left = wood_left(checking.plan, place, fastener.length)
        if left < LEAST_BEYOND:
            out = left <= 0
            words = (
                f"joint '{joint}': a {fastener.kind} of {checking.say.length(fastener.length)} "
                + ("comes out of" if out else f"ends only {checking.say.joint(left)} below the far side of")
                + f" '{place.second}'"
            )
            make = error if out else warning
            hint = "take a shorter one" if fastener.kind == "screw" else "give a smaller 'depth'"
            expected = f"at least {float(LEAST_BEYOND):g} mm of wood left"
            found.append((joint, make("P64", words, checking.joint_place(joint), expected=expected, hint=hint)))
    return listed_once(found)


def thread(checking: Checking) -> Found:
    """P64: enough of a screw's thread is in the piece that it pulls on. Where the pieces are glued, it only presses."""
    found: list[tuple[str, Diagnostic]] = []
    glued = {frozenset((j.first, j.second)) for j in checking.plan.joints if j.glue}
    for fastener, place, joint in _places(checking):
        if fastener.kind != "screw" or frozenset((place.first, place.second)) in glued:
            continue
        gripped = fastener.length - _passed(checking, fastener, place)
        least = min(LEAST_THREAD, fastener.length * 2 / 3)
        if gripped < least:
            words = (
                f"joint '{joint}': a screw of {checking.say.length(fastener.length)} has only"
                f" {checking.say.joint(gripped)} in '{place.second}'"
            )
            hint = "take a longer screw, or counterbore its head"
            expected = f"at least {checking.say.joint(least)}"
            found.append((joint, warning("P64", words, checking.joint_place(joint), expected=expected, hint=hint)))
    return listed_once(found)


def _passed(checking: Checking, fastener: Fastener, place: FastenerPlace) -> Fraction:
    """Wood (mm) from a fastener's head to where it enters the second piece."""
    met = [
        j
        for j in checking.plan.joints
        if j.kind == fastener.kind and (j.first, j.second) == (place.first, place.second)
    ]
    if not met:
        return Fraction(0)
    return dot(sub(met[0].patch[0], place.head), place.direction)


def grain(checking: Checking) -> Found:
    """P64: screws hold badly in end grain."""
    found: list[tuple[str, Diagnostic]] = []
    for fastener, place, joint in _places(checking):
        along = abs(dot(place.direction, checking.plan.pieces[place.second].frame.x))
        sheet = checking.plan.part_of(place.second).material.form == "sheet"
        if fastener.kind == "screw" and along > _ALONG_GRAIN and not sheet:
            words = f"joint '{joint}': a screw runs into the end grain of '{place.second}', where it holds badly"
            hint = "drive it the other way, or use dowels"
            found.append((joint, warning("P64", words, checking.joint_place(joint), hint=hint)))
    return listed_once(found)


def holes(checking: Checking) -> Found:
    """P6: the hole for a fastener is made in both pieces, and deep enough in the second."""
    found: list[tuple[str, Diagnostic]] = []
    for fastener, place, joint in _places(checking):
        for piece in (place.first, place.second):
            drilled = [h for h in _holes(checking, piece) if h.joint == joint and _on_axis(checking, piece, h, place)]
            if not drilled:
                words = f"joint '{joint}': '{piece}' has no hole where a {fastener.kind} goes in"
                found.append((f"{joint} none", error("P6", words, checking.joint_place(joint))))
            elif piece == place.second and (short := _short(checking, drilled[0], fastener, place)) > LEAST_BEYOND:
                words = (
                    f"joint '{joint}': the hole in '{piece}' ends {checking.say.joint(short)} before the end of its"
                    f" {fastener.kind}"
                )
                hint = "this is a fault of the program, not of the plan; please report it"
                found.append((f"{joint} short", error("P6", words, checking.joint_place(joint), hint=hint)))
    return listed_once(found)


def _holes(checking: Checking, piece: str) -> tuple[Hole, ...]:
    return (*checking.plan.pieces[piece].in_place_holes, *checking.plan.part_of(piece).holes)


def _mouth(part: Part, frame: Frame, hole: Hole) -> tuple[Fraction, Fraction, Fraction]:
    return frame.point(hole_point(hole, (part.length, part.width, part.thickness)))


def _on_axis(checking: Checking, piece: str, hole: Hole, place: FastenerPlace) -> bool:
    """True if a hole's mouth lies on the fastener's line."""
    away = sub(_mouth(checking.plan.part_of(piece), checking.plan.pieces[piece].frame, hole), place.head)
    beside = sub(away, scale(place.direction, dot(away, place.direction)))
    return dot(beside, beside) < Fraction(1, 100)


def _short(checking: Checking, hole: Hole, fastener: Fastener, place: FastenerPlace) -> Fraction:
    """How far (mm) a fastener reaches beyond the bottom of its hole; 0 if the hole goes through."""
    if hole.depth is None:
        return Fraction(0)
    frame = checking.plan.pieces[place.second].frame
    mouth = _mouth(checking.plan.part_of(place.second), frame, hole)
    bottom = add(mouth, scale(frame.direction(hole.direction), hole.start + hole.depth))
    return fastener.length - dot(sub(bottom, place.head), place.direction)


def _places(checking: Checking) -> list[tuple[Fastener, FastenerPlace, str]]:
    """Every fastener with its place and the joint that asks for it."""
    joint_of = {(j.kind, j.first, j.second): j.joint for j in checking.plan.joints}
    return [
        (fastener, place, joint_of.get((fastener.kind, place.first, place.second), fastener.joint))
        for fastener in checking.plan.fasteners
        for place in fastener.places
    ]

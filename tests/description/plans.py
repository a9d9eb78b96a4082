"""Plans for tests: the first demo, and a small one to put faults into."""

from __future__ import annotations

from pathlib import Path

from hypothesis import settings

from planpress.base.diagnostics import Diagnostic, Findings, PlanFaults
from planpress.description import read_description
from planpress.description.records import Description

# For property tests: the same examples in each run, and no limit on the time of one.
PROPERTY = settings(deadline=None, derandomize=True)

DEMO = Path(__file__).parents[2] / "projects" / "seedling-stand" / "plan.yaml"

# Line numbers in tests count in this text.
SMALL = """\
planpress: 1
title: Bench
maker: Demo Workshop
version: 1.10
date: 2026-05-12
parameters:
  long: {value: 40 in, metric: 1000 mm, range: [24 in, 60 in]}
  thick: 3/4 in
  slats: {value: 4, range: [3, 9]}
formulas:
  pitch: 2 * thick
planes:
  floor: z = 0 in
materials:
  stick: {form: board, species: white oak, thickness: thick, width: 1-1/2 in}
parts:
  slat:
    material: stick
    length: long
    place: {corner: [0 in, row * pitch, 1 in], length: +x, width: +y}
    repeat: {row: slats}
  leg:
    material: stick
    place: {from: [0 in, 0 in, 0 in], to: [0 in, 0 in, long], width: +x}
    trim: {start: floor, end: flush with slat}
joints:
  laps: {kind: cross lap, between: [slat, leg], glue: true}
"""


def small(*changes: tuple[str, str]) -> str:
    """The small plan with some texts replaced; each must occur in it."""
    text = SMALL
    for old, new in changes:
        assert old in text, old
        text = text.replace(old, new, 1)
    return text


def read(text: str) -> Description:
    """The description of a text without faults."""
    return read_description(text, "plan.yaml")


def faults(text: str) -> list[Diagnostic]:
    """The diagnostics of a text; none if it can be read."""
    findings = Findings()
    try:
        read_description(text, "plan.yaml", findings)
    except PlanFaults as raised:
        return list(raised.diagnostics)
    return findings.items


def told(text: str) -> list[str]:
    """The diagnostics of a text as "line:column message"."""
    return [f"{d.place.line}:{d.place.column} {d.message}" for d in faults(text) if d.place is not None]


def marked(text: str, message: str) -> tuple[str, str]:
    """The text without its marker ^, and the message with its place in front; both as they are without one."""
    before, marker, after = text.partition("^")
    if not marker:
        return text, message
    line_start = before.rfind("\n") + 1
    return before + after, f"{before.count(chr(10)) + 1}:{len(before) - line_start + 1} {message}"

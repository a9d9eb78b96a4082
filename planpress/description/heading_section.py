"""Reads what stands at the head of a plan: title, maker, version, date, skill, accent."""

from __future__ import annotations

import datetime
import re

from planpress.base.diagnostics import Place
from planpress.description.fields import Fields, Reading
from planpress.description.records import Skill

FORMAT = "1"
DEFAULT_ACCENT = "#2E6A4C"

# Least contrast of text with its ground. Source: WCAG 2.2, success criterion 1.4.3 (level AA).
LEAST_CONTRAST = 4.5

# The cells of a page's foot are 43 mm wide; the characters that fit there at 9.5 and 9 points, measured on common text.
_TITLE_FITS = 24
_MAKER_FITS = 27

_VERSION = re.compile(r"[0-9A-Za-z][0-9A-Za-z.+-]{0,19}")
_DATE = re.compile(r"(\d{4})-(\d{2})-(\d{2})", re.ASCII)
_COLOUR = re.compile(r"#[0-9A-Fa-f]{6}")


def check_format(fields: Fields) -> None:
    """The description's format must be the one this program reads."""
    text = fields.text("planpress")
    if text and text != FORMAT:
        place = fields.nodes["planpress"].place
        fields.reading.findings.error(
            "format", f"the plan is written for format {text[:20]}", place, expected=f"planpress: {FORMAT}"
        )


def read_short_text(fields: Fields, key: str) -> str:
    """Title or maker: one line, with a warning if it is too long for the foot of a page."""
    text = " ".join(fields.text(key).split())
    fits = _TITLE_FITS if key == "title" else _MAKER_FITS
    if len(text) > fits:
        fields.reading.findings.warning(
            "long-text",
            f"the {key} has {len(text)} characters; it will be shortened at the foot of the pages",
            fields.nodes[key].place,
            expected=f"at most {fits}",
        )
    return text


def read_version(fields: Fields) -> str:
    """The plan's version, as text: 1.10 stays 1.10."""
    text = fields.text("version")
    if text and not _VERSION.fullmatch(text):
        fields.reading.findings.error(
            "version",
            f"the version is '{text[:40]}'",
            fields.nodes["version"].place,
            expected="at most 20 letters, digits, points, plus signs and hyphens: 1.0.0",
        )
    return text


def read_date(fields: Fields) -> str:
    """The day of the version, as year-month-day (ISO 8601)."""
    text = fields.text("date")
    if not text:
        return text
    match = _DATE.fullmatch(text)
    try:
        if match is None:
            raise ValueError
        datetime.date(int(match[1]), int(match[2]), int(match[3]))
    except ValueError:
        hint = "there is no such day" if match else ""
        place = fields.nodes["date"].place
        fields.reading.findings.error(
            "date", f"the date is '{text[:40]}'", place, "a day as year-month-day: 2026-05-12", hint
        )
    return text


def read_skill(fields: Fields, reading: Reading) -> Skill | None:
    """{says:, more:}, or one text."""
    node = fields.nodes.get("skill")
    if node is None:
        return None
    skill = Fields(reading, node, "'skill'", ("says", "more"))
    return Skill(skill.text("says"), skill.text_or("more", ""))


def read_accent(fields: Fields) -> str:
    """The accent colour, dark enough to be read on white; in capitals."""
    if "accent" not in fields:
        return DEFAULT_ACCENT
    text, place = fields.text("accent"), fields.nodes["accent"].place
    if not text:
        return DEFAULT_ACCENT
    if not _COLOUR.fullmatch(text):
        fields.reading.findings.error(
            "accent", f"the accent is '{text[:40]}'", place, expected='a colour in quotes: "#2E6A4C"'
        )
        return DEFAULT_ACCENT
    ratio = contrast_on_white(text)
    if ratio < LEAST_CONTRAST:
        shown = int(ratio * 100) / 100  # cut off, so that 4.499 does not read as 4.5
        fields.reading.findings.error(
            "accent",
            f"the accent {text} has a contrast of {shown:.2f}:1 on white",
            place,
            expected=f"at least {LEAST_CONTRAST}:1",
            hint="choose a darker colour",
        )
    return text.upper()


def contrast_on_white(colour: str) -> float:
    """Contrast ratio of "#RRGGBB" with white, 1 to 21.

    Source: WCAG 2.2, definitions of contrast ratio and relative luminance.
    """
    channels = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    red, green, blue = (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels)
    return 1.05 / (0.2126 * red + 0.7152 * green + 0.0722 * blue + 0.05)


def introduction_place(fields: Fields) -> Place | None:
    """Where the introduction begins; None without one."""
    node = fields.nodes.get("introduction")
    return None if node is None else node.place

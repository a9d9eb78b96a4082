"""The type family: Source Sans Pro in four faces, with stacked fractions as glyphs.

The faces come from the PyPI package font-source-sans-pro (TrueType files, SIL Open Font License). Each is
read when it is first used, once a process, and gets in memory two composite glyphs for every fraction of
`base.lettering` and an alias for the signs the family lacks. A fraction is then a character like any other:
it measures, wraps and embeds as a letter, and readers get "1 3/4".
"""

from __future__ import annotations

import struct
from collections.abc import Iterable
from functools import cache
from typing import Any

from font_source_sans_pro import font_files_ttf
from reportlab.pdfbase.pdfmetrics import registerFontFamily

from planpress.base.display import Face
from planpress.base.lettering import FIRST_AFTER_WHOLE, FIRST_ALONE, FRACTIONS, plain
from planpress.writers.pdf import hooks

MM_PER_POINT = 25.4 / 72

_FILES = {
    Face.LIGHT: "SourceSansProLight",
    Face.REGULAR: "SourceSansPro",
    Face.SEMIBOLD: "SourceSansProSemibold",
    Face.ITALIC: "SourceSansProIt",
}

# The fraction, in em of the text: numerals of 0.72 of its size over a bar in the middle of the figure height.
_NUMERAL = 0.72
_AXIS = 0.325
_BAR = 0.055
_GAP = 0.095 * _NUMERAL  # bar to numeral
_OVERHANG = 0.06 * _NUMERAL  # bar beyond the wider numeral, at each end
_BEFORE = 0.08  # whole number to fraction
_AFTER = 0.05  # fraction to what follows

#: Signs drawn with the glyph of another: diameter signs as O with stroke, non-breaking hyphen as hyphen.
_ALIASES = {0x2300: 0x00D8, 0x2205: 0x00D8, 0x2011: 0x002D}

_SPELLED = {
    first + i: plain(chr(first + i)) for first in (FIRST_AFTER_WHOLE, FIRST_ALONE) for i in range(len(FRACTIONS))
}

# Flags of a composite glyph's parts (OpenType 1.9, glyf): words, offsets, x and y scale, unscaled offset.
_PART = 0x0001 | 0x0002 | 0x0040 | 0x1000
_MORE_PARTS = 0x0020


def font_name(face: Face) -> str:
    """The name ReportLab knows the face by, for paragraph styles and `setFont`."""
    return f"SourceSans-{face.value}"


@cache
def font(face: Face) -> hooks.LazyFont:
    """The font of a face; registers all four on first use."""
    return _family()[face]


def register_fonts() -> None:
    """Makes the four faces known to ReportLab by `font_name`; `<b>` gives Semibold and `<i>` Italic."""
    _family()


def font_of(name: str) -> hooks.LazyFont:
    """The font with the given ReportLab name."""
    return font(next(face for face in Face if font_name(face) == name))


@cache
def _family() -> dict[Face, hooks.LazyFont]:
    fonts = {
        face: hooks.LazyFont(font_name(face), font_files_ttf[file], _add_glyphs, _SPELLED)
        for face, file in _FILES.items()
    }
    for one in fonts.values():
        hooks.register(one)
    regular, bold, italic = map(font_name, (Face.REGULAR, Face.SEMIBOLD, Face.ITALIC))
    for face in Face:
        registerFontFamily(font_name(face), normal=font_name(face), bold=bold, italic=italic, boldItalic=bold)
    registerFontFamily(regular, normal=regular, bold=bold, italic=italic, boldItalic=bold)
    return fonts


def missing(text: str, face: Face = Face.REGULAR) -> str:
    """The characters of `text` that the face cannot draw, each once, in order; "" if it has them all."""
    known = font(face).face.charToGlyph
    return "".join(dict.fromkeys(c for c in text if not known.get(ord(c))))


class Metrics:
    """Measures text; implements `base.display.TypeMeasure`."""

    def width(self, text: str, face: Face, size: float) -> float:
        """Advance width in mm of one line of text set in `face` at `size` points."""
        return advance(text, face) * size * (MM_PER_POINT / 1000)


def advance(text: str, face: Face) -> float:
    """Advance width of the text in thousandths of its size."""
    return float(font(face).advance(text))


# --- glyphs -------------------------------------------------------------------------------------------------


def _add_glyphs(face: Any) -> None:
    """Adds the fractions and the aliases to a face that has just been read."""
    codes = face.charToGlyph
    for alias, sign in _ALIASES.items():
        if not codes.get(alias):
            codes[alias] = codes[sign]
            face.charWidths[alias] = face.charWidths[sign]
    builder = _FractionBuilder(face)
    glyphs, position = [face.get_table("glyf")], face.glyphPos[-1]
    for first, before in ((FIRST_AFTER_WHOLE, _BEFORE), (FIRST_ALONE, 0.0)):
        for i, (numerator, denominator) in enumerate(FRACTIONS):
            glyph, width, left = builder.glyph(str(numerator), str(denominator), before)
            glyphs.append(glyph)
            position += len(glyph)
            codes[first + i] = len(face.glyphPos) - 1
            face.glyphPos.append(position)
            face.hmetrics.append((width, left))
            face.charWidths[first + i] = width * 1000 / face.unitsPerEm
    hooks.replace_table(face, "glyf", b"".join(glyphs))
    hooks.replace_table(face, "maxp", builder.maximum_profile(face.get_table("maxp")))


class _FractionBuilder:
    """Builds the composite glyphs of one face: scaled digits and the minus sign stretched as the bar."""

    def __init__(self, face: Any) -> None:
        codes = face.charToGlyph
        self._em = face.unitsPerEm
        self._glyf = face.get_table("glyf")
        self._positions = face.glyphPos
        self._digits = {digit: codes[ord(digit)] for digit in "0123456789"}
        self._minus = codes[0x2212]
        self._digit_width = face.hmetrics[self._digits["1"]][0] * _NUMERAL
        self._digit_height = self._bounds(self._digits["1"])[3] * _NUMERAL
        self._minus_bounds = self._bounds(self._minus)
        self._scale = struct.pack(">hh", *(round(_NUMERAL * 16384),) * 2)

    def _bounds(self, glyph: int) -> tuple[int, int, int, int]:
        start = self._positions[glyph]
        left, bottom, right, top = struct.unpack(">4h", self._glyf[start + 2 : start + 10])
        return left, bottom, right, top

    def glyph(self, numerator: str, denominator: str, before: float) -> tuple[bytes, int, int]:
        """(glyph description, advance width, left side bearing) in font units.

        `before` is the white at its left in em.
        """
        em = self._em
        left = round(before * em)
        inner = max(len(numerator), len(denominator)) * self._digit_width
        bar_width = inner + 2 * _OVERHANG * em
        foot_above = (_AXIS + _BAR / 2 + _GAP) * em
        foot_below = (_AXIS - _BAR / 2 - _GAP) * em - self._digit_height
        parts = [
            struct.pack(">HHhh", _PART | _MORE_PARTS, self._digits[digit], round(x), round(y)) + self._scale
            for numeral, y in ((numerator, foot_above), (denominator, foot_below))
            for digit, x in self._placed(numeral, left + _OVERHANG * em, inner)
        ]
        parts.append(self._bar(left, bar_width))
        right = round(left + bar_width)
        top = round(foot_above + self._digit_height)
        head = struct.pack(">hhhhh", -1, left, round(foot_below), right, top)
        body = b"".join((head, *parts))
        return body + bytes(-len(body) % 4), round(left + bar_width + _AFTER * em), left

    def _placed(self, numeral: str, start: float, inner: float) -> Iterable[tuple[str, float]]:
        x = start + (inner - len(numeral) * self._digit_width) / 2
        for digit in numeral:
            yield digit, x
            x += self._digit_width

    def _bar(self, left: float, width: float) -> bytes:
        x0, y0, x1, y1 = self._minus_bounds
        across, up = width / (x1 - x0), _BAR * self._em / (y1 - y0)
        if across >= 2 or up >= 2:
            raise ValueError("the minus sign of the font is too small to be stretched into a fraction bar")
        x = left - x0 * across
        y = (_AXIS - _BAR / 2) * self._em - y0 * up
        scale = struct.pack(">hh", round(across * 16384), round(up * 16384))
        return struct.pack(">HHhh", _PART, self._minus, round(x), round(y)) + scale

    def maximum_profile(self, table: bytes) -> bytes:
        """The table maxp, made large enough for fractions of four digits and a bar."""
        glyphs = [*self._digits.values(), self._minus]
        counts = [self._count(glyph) for glyph in glyphs]
        points, contours = (5 * max(count[i] for count in counts) for i in (0, 1))
        fields = list(struct.unpack(">L14H", table[:32]))
        for index, least in ((4, points), (5, contours), (13, 5), (14, 1)):
            fields[index] = max(fields[index], least)
        return struct.pack(">L14H", *fields) + table[32:]

    def _count(self, glyph: int) -> tuple[int, int]:
        """(points, contours) of a simple glyph."""
        start = self._positions[glyph]
        contours = struct.unpack(">h", self._glyf[start : start + 2])[0]
        if contours < 1:
            raise ValueError("a digit of the font is not a simple glyph")
        last = struct.unpack(">H", self._glyf[start + 8 + 2 * contours : start + 10 + 2 * contours])[0]
        return last + 1, contours

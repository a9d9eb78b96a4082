"""The scales of drawings, the words for them, and scale bars.

Reductions are those of ISO 5455:1979, table 1 (1 : 2, 5, 10, 20, 50, 100), and of inch rules: 1 : 2, 4, 8,
16 are 1/2, 1/4, 1/8 and 1/16 in to the inch; 1 : 3, 6, 12, 24, 48, 96 are 4, 2, 1, 1/2, 1/4 and 1/8 in to the foot.
1 : 2.5 stands on metric scale rules (common practice, no source).
"""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction

from planpress.base.display import Anchor, Item, Path, Role, Text, TypeMeasure, rectangle
from planpress.base.edition import Edition
from planpress.base.quantities import INCH
from planpress.figures import style

#: True lengths to one on paper, in both unit systems; metric editions use 2.5 besides.
REDUCTIONS = (1, 2, 3, 4, 5, 6, 8, 10, 12, 16, 20, 24)
#: For large pieces, when none of the others fits.
_LARGE = {True: (32, 40, 50, 100, 200), False: (32, 48, 96, 192)}
_METRIC_ONLY = Fraction(5, 2)

FULL_SIZE = Fraction(1)

BAR_HEIGHT = 1.1
_BAR_TEXT = 9.0
_SMALLEST_FIELD = 7.5
_FIELDS = {
    True: tuple(Fraction(n) for n in (10, 20, 50, 100, 200, 500, 1000, 2000)),
    False: tuple(n * INCH for n in (Fraction(1, 2), 1, 2, 4, 6, 12, 24, 48, 96)),
}


def scales(edition: Edition) -> tuple[Fraction, ...]:
    """Paper length / true length, largest first."""
    numbers = [Fraction(n) for n in (*REDUCTIONS, *_LARGE[edition.is_metric])]
    if edition.is_metric:
        numbers.append(_METRIC_ONLY)
    return tuple(1 / n for n in sorted(numbers))


def largest_scale(fits: Callable[[Fraction], bool], edition: Edition, most: Fraction = FULL_SIZE) -> Fraction:
    """The first scale, from full size (or the scale `most`) down, at which `fits` says yes.

    Raises:
        ValueError: if it fits at none.
    """
    for scale in scales(edition):
        if scale <= most and fits(scale):
            return scale
    raise ValueError("the drawing is too large for every scale")


def next_smaller(scale: Fraction, edition: Edition) -> Fraction:
    """The scale after this one; of the smallest one itself."""
    return next((one for one in scales(edition) if one < scale), scale)


def ratio(scale: Fraction) -> str:
    """ "1 : 6", "1 : 2.5"."""
    reduction = 1 / scale
    number = str(reduction.numerator) if reduction.denominator == 1 else f"{float(reduction):g}"
    return f"1\u00a0:\u00a0{number}"


def scale_words(scale: Fraction) -> str:
    """ "full size" or "scale 1 : 6"; capitalize it at the start of a line."""
    return "full size" if scale == 1 else f"scale {ratio(scale)}"


def scale_bar(scale: Fraction, edition: Edition, measure: TypeMeasure) -> tuple[Item, ...]:
    """A bar of three or four fields of a round true length, its lower left corner at (0, 0), figures below.

    Fields are ink and white in turn; each is wide enough for its number.
    """
    field = next(
        (f for f in _FIELDS[edition.is_metric] if float(f * scale) >= _SMALLEST_FIELD),
        _FIELDS[edition.is_metric][-1],
    )
    step = float(field * scale)
    count = 4 if step <= 10 else 3
    items: list[Item] = []
    for i in range(count):
        fill = style.INK if i % 2 == 0 else style.TINT_0
        items.append(Path(rectangle(i * step, 0.0, step, BAR_HEIGHT), style.EDGE, fill, Role.MARK))
    base = -1.2 - style.POINT * _BAR_TEXT * 0.89
    for i in range(count + 1):
        number = edition.length(field * i)
        items.append(Text((i * step, base), number, size=_BAR_TEXT, anchor=Anchor.MIDDLE))
    last = measure.width(edition.length(field * count), Text((0, 0), "").face, _BAR_TEXT) / 2
    unit = "mm" if edition.is_metric else "in"
    items.append(Text((count * step + last + 2.0, base), unit, size=_BAR_TEXT))
    return tuple(items)

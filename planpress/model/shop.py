"""The workshop of an edition: the maker's cutters and settings, or the usual ones.

The usual widths are those of common blades and router bits, the usual setting error is what a rule and a stop give
with care, and passes overlap enough to leave no ridge (all common practice, no source). A card always has room for
the width that a test cut really has.
"""

from __future__ import annotations

from fractions import Fraction
from typing import Final

from attrs import frozen

from planpress.base.diagnostics import Findings
from planpress.base.printing import Units
from planpress.base.quantities import INCH
from planpress.description import records as described
from planpress.description.faults import FormulaError
from planpress.model.cutting import Settings
from planpress.model.records import Cutter, Shop


@frozen
class _Usual:
    """Widths and settings (mm) of a unit system where the description says nothing."""

    cutters: tuple[Cutter, ...]
    setting_error: Fraction
    overlap: Fraction


_USUAL: Final = {
    Units.IMPERIAL: _Usual(
        (
            Cutter("thin blade", INCH * 3 / 32),
            Cutter("full blade", INCH / 8),
            Cutter("router bit", INCH / 2),
            Cutter("wide set", INCH * 3 / 4),
        ),
        INCH / 64,
        INCH / 32,
    ),
    Units.METRIC: _Usual(
        (
            Cutter("thin blade", Fraction("2.4")),
            Cutter("full blade", Fraction("3.2")),
            Cutter("router bit", Fraction(12)),
            Cutter("wide set", Fraction(18)),
        ),
        Fraction("0.3"),
        Fraction("0.8"),
    ),
}


def solve_shop(shop: described.Shop | None, settings: Settings, findings: Findings) -> Shop:
    """The workshop of one edition; widths that are no sizes are added to the findings."""
    usual = _USUAL[settings.units]
    if shop is None:
        return Shop(usual.cutters, usual.setting_error, usual.overlap)

    def size(value: described.ByUnits | None, default: Fraction) -> Fraction:
        if value is None:
            return default
        try:
            return settings.size(settings.of_units(value), default)
        except FormulaError as fault:
            findings.items.append(fault.diagnostic)
            return default

    overlap = size(shop.overlap, usual.overlap)
    cutters = tuple(Cutter(one.name, size(one.kerf, Fraction(1))) for one in shop.cutters) or usual.cutters
    narrow = next((one for one in cutters if one.kerf <= overlap), None)
    if narrow is not None and not findings.has_errors:
        findings.error(
            "cutter-width",
            f"the cutter '{narrow.name}' is not wider than its passes overlap",
            shop.place,
            hint="make 'overlap' of 'shop' smaller",
        )
    return Shop(cutters, size(shop.setting_error, usual.setting_error), overlap)

"""The parts table as comma-separated values, for spreadsheets: exact sizes in the edition's unit."""

from __future__ import annotations

import csv
import io
from fractions import Fraction

from planpress.base.printing import Units
from planpress.base.quantities import INCH
from planpress.model.records import SolvedPlan


def parts_csv(plan: SolvedPlan) -> bytes:
    """Rows of the parts table: letter, name, number, finished thickness, width and length, material.

    Sizes are decimal, to 0.001 mm or 0.0001 in, not rounded to a ruler. UTF-8 with a byte order mark, so that
    spreadsheets read it right.
    """
    unit = "mm" if plan.units is Units.METRIC else "in"
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(["letter", "name", "number", f"thickness {unit}", f"width {unit}", f"length {unit}", "material"])
    for part in plan.parts:
        sizes = [_decimal(size, plan.units) for size in (part.thickness, part.width, part.length)]
        writer.writerow([part.letter, part.label, part.count, *sizes, part.material.label])
    for item in plan.fasteners:
        sizes = [_decimal(item.diameter, plan.units), "", _decimal(item.length, plan.units)]
        writer.writerow([item.letter, item.label, item.count, *sizes, item.material])
    return ("\ufeff" + out.getvalue()).encode("utf-8")


def _decimal(mm: Fraction, units: Units) -> str:
    value, digits = (mm, 3) if units is Units.METRIC else (mm / INCH, 4)
    scaled = round(value * 10**digits)
    sign = "-" if scaled < 0 else ""
    whole, rest = divmod(abs(scaled), 10**digits)
    text = f"{sign}{whole}.{rest:0{digits}d}".rstrip("0")
    return text.rstrip(".")

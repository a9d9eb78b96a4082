"""Parameters, overrides, ranges, formulas and requirements: from the description to named values."""

from __future__ import annotations

from collections.abc import Mapping

from attrs import frozen

from planpress.base import printing
from planpress.base.diagnostics import Findings, Place
from planpress.base.lettering import plain
from planpress.base.parsing import QuantityError, parse_quantity
from planpress.base.printing import Units
from planpress.base.quantities import LENGTH, Quantity
from planpress.description.faults import FormulaError, did_you_mean
from planpress.description.formulas import solve_names
from planpress.description.records import Description, Parameter, Size


@frozen
class Values:
    """Evaluated parameters and formulas; `changed` names the parameters that are not the plan's own."""

    names: Mapping[str, Quantity]
    changed: tuple[str, ...]


def solve_values(
    description: Description,
    units: Units,
    size: str,
    overrides: Mapping[str, str | Quantity],
    findings: Findings,
) -> Values:
    """Evaluate all parameters and formulas of an edition.

    Args:
        size: name of one of the plan's sizes, or "".
        overrides: values by parameter name, as text ("52 in", "13") or quantities; they go before the size's.

    All faults are added to `findings`: unknown names, wrong dimensions, values out of range, broken requirements.
    """
    parameters = {p.name: p for p in description.parameters}
    chosen: dict[str, Quantity] = {}
    sources: dict[str, Place | None] = {}
    own: dict[str, Quantity] = {}
    for name, parameter in parameters.items():
        formula = parameter.metric if units is Units.METRIC and parameter.metric else parameter.value
        try:
            own[name] = formula.quantity({})
        except FormulaError as fault:
            findings.items.append(fault.diagnostic)
            continue
        sources[name] = formula.place
    chosen.update(own)
    settings = _settings_of(description, size, findings)
    for name, (value, place) in settings.items():
        if name in own:
            chosen[name] = value
            sources[name] = place
    for name, given in overrides.items():
        value_or_none = _override(name, given, parameters, findings)
        if value_or_none is not None:
            chosen[name] = value_or_none
            sources[name] = None
    for name, value in chosen.items():
        _check_range(parameters[name], value, own.get(name, value), units, sources[name], findings)
    formulas = {f.name: f.formula for f in description.formulas}
    names = solve_names(formulas, chosen, findings)
    if not findings.has_errors:
        _check_requirements(description, names, findings)
    changed = tuple(name for name in chosen if chosen[name] != own.get(name))
    return Values(names, changed)


def _settings_of(description: Description, size: str, findings: Findings) -> dict[str, tuple[Quantity, Place]]:
    """The values a named size sets, with their places."""
    if not size:
        return {}
    found: Size | None = next((s for s in description.sizes if s.name == size), None)
    if found is None:
        known = [s.name for s in description.sizes]
        findings.error(
            "unknown-size",
            f"the plan has no size '{size}'",
            expected=", ".join(known) or "no --size: this plan has only one",
            hint=did_you_mean(size, known),
        )
        return {}
    out: dict[str, tuple[Quantity, Place]] = {}
    for setting in found.settings:
        try:
            out[setting.name] = (setting.formula.quantity({}), setting.formula.place)
        except FormulaError as fault:
            findings.items.append(fault.diagnostic)
    return out


def _override(
    name: str,
    given: str | Quantity,
    parameters: Mapping[str, Parameter],
    findings: Findings,
) -> Quantity | None:
    if name not in parameters:
        findings.error(
            "unknown-parameter",
            f"setting {name}: the plan has no parameter '{name}'",
            expected="one of " + ", ".join(parameters),
            hint=did_you_mean(name, parameters),
        )
        return None
    if isinstance(given, Quantity):
        return given
    try:
        return parse_quantity(given)
    except QuantityError as fault:
        findings.error("bad-value", f"setting {name} to '{given}': {fault.message}", hint=fault.hint)
        return None


def write_value(value: Quantity, units: Units) -> str:
    """A value in the edition's units, for messages: exact if the grid cannot show it."""
    if value.dimension == LENGTH:
        grid = printing.IMPERIAL_32 if units is Units.IMPERIAL else printing.METRIC_HALF
        return plain(printing.write_length(value.value, grid, unit=True)).replace(printing.NO_BREAK, " ")
    return str(value)


def _check_range(
    parameter: Parameter, value: Quantity, own: Quantity, units: Units, place: Place | None, findings: Findings
) -> None:
    if value.dimension != own.dimension:
        findings.error(
            "dimension",
            f"'{parameter.name}' is {own.dimension.words}, but {value.dimension.words} was given",
            place,
            hint="write the unit" if own.dimension == LENGTH else "",
        )
        return
    for limit, outside in ((parameter.low, value.__lt__), (parameter.high, value.__gt__)):
        if limit is None:
            continue
        try:
            bound = limit.quantity({}, own.dimension)
        except FormulaError as fault:
            findings.items.append(fault.diagnostic)
            continue
        if outside(bound):
            side = "least" if limit is parameter.low else "most"
            findings.error(
                "out-of-range",
                f"'{parameter.name}' is {write_value(value, units)}; the maker vouches for at {side}"
                f" {write_value(bound, units)}",
                place,
                hint=f"choose a value of at {side} {write_value(bound, units)}",
            )


def _check_requirements(description: Description, names: Mapping[str, Quantity], findings: Findings) -> None:
    for requirement in description.requirements:
        try:
            holds = requirement.that.condition(names)
        except FormulaError as fault:
            findings.items.append(fault.diagnostic)
            continue
        if not holds:
            findings.error(
                "require",
                f"'{requirement.that.text}' does not hold: {requirement.or_else}",
                requirement.place,
                hint="change one of " + ", ".join(requirement.that.names) if requirement.that.names else "",
            )

"""The check of all formulas together: names, cycles, dimensions, ranges.

It computes every formula with the values of the imperial edition. Sizes and metric editions have the same dimensions,
so that a formula that passes here can fail later only by its value.
"""

from __future__ import annotations

from collections.abc import Mapping

from planpress.base.quantities import Quantity, count
from planpress.description.faults import FormulaError, did_you_mean
from planpress.description.fields import Reading, Use, is_blank
from planpress.description.formulas import Formula, solve_names
from planpress.description.records import NamedFormula, Parameter, Size
from planpress.description.shape_records import OWN_SIZES

#: Faults of a formula's value, not of its form: with stand-ins for a part's own sizes they tell nothing.
_BY_VALUE = ("range", "division-by-zero")


def check_values(
    parameters: tuple[Parameter, ...], formulas: tuple[NamedFormula, ...], sizes: tuple[Size, ...], reading: Reading
) -> None:
    """Report every fault of the plan's formulas."""
    given = _check_parameters(parameters, reading)
    _check_sizes(sizes, {item.name: item for item in parameters}, given, reading)
    named = {item.name: item.formula for item in formulas}
    faulty = [name for name in reading.declared["parameter"] if name not in given]
    faulty += [item.name for item in formulas if is_blank(item.formula)]
    values = solve_names(named, given, reading.findings, faulty)
    solved = {id(formula) for formula in named.values()}
    for use in reading.uses:
        if id(use.formula) not in solved:
            _check_use(use, values, reading)


def _check_parameters(parameters: tuple[Parameter, ...], reading: Reading) -> dict[str, Quantity]:
    """Values of the parameters; metric value and range must measure the same thing, and the range must hold both."""
    values: dict[str, Quantity] = {}
    for item in parameters:
        if any(formula is not None and is_blank(formula) for formula in (item.value, item.low, item.high)):
            continue
        try:
            value = item.value.quantity({})
            values[item.name] = value
            low = _quantity(item.low, value)
            high = _quantity(item.high, value)
            metric = _quantity(item.metric, value)
        except FormulaError as fault:
            reading.findings.items.append(fault.diagnostic)
            continue
        if low is not None and high is not None and item.low is not None and high < low:
            reading.wrong(item.low.place, f"the range of '{item.name}' begins above its end", "[least, greatest]")
            continue
        _check_in_range(item, item.value, value, reading)
        if item.metric is not None and metric is not None:
            _check_in_range(item, item.metric, metric, reading)
    return values


def _quantity(formula: Formula | None, like: Quantity) -> Quantity | None:
    """The value of a limit or metric value, which must measure what `like` does; None where there is none."""
    return None if formula is None or is_blank(formula) else formula.quantity({}, like.dimension)


def _check_in_range(parameter: Parameter, formula: Formula, value: Quantity, reading: Reading) -> None:
    """Report a value outside the range for which the maker vouches."""
    low, high = parameter.low, parameter.high
    if low is None or high is None or low.quantity({}) <= value <= high.quantity({}):
        return
    reading.findings.error(
        "parameter-range",
        f"'{parameter.name}' is {formula.text}, outside its range",
        formula.place,
        expected=f"{low.text} to {high.text} (line {low.place.line})",
    )


def _check_sizes(
    sizes: tuple[Size, ...], parameters: Mapping[str, Parameter], given: Mapping[str, Quantity], reading: Reading
) -> None:
    for size in sizes:
        for setting in size.settings:
            if setting.name not in given or is_blank(setting.formula):
                continue
            try:
                value = setting.formula.quantity({}, given[setting.name].dimension)
                _check_in_range(parameters[setting.name], setting.formula, value, reading)
            except FormulaError as fault:
                reading.findings.items.append(fault.diagnostic)


def _check_use(use: Use, values: Mapping[str, Quantity], reading: Reading) -> None:
    """Report unknown names, wrong dimensions and the like in one formula."""
    formula = use.formula
    parameters, named = reading.declared["parameter"], reading.declared["formula"]
    variables = dict(use.variables)
    for name in formula.names:
        if name not in parameters and name not in named and name not in variables:
            hint = did_you_mean(name, (*parameters, *named, *variables))
            reading.findings.error("unknown-name", f"unknown name '{name}'", formula.place_of(name), hint=hint)
        elif name in OWN_SIZES and name in variables and (name in parameters or name in named):
            reading.findings.error(
                "name-taken",
                f"in a shape '{name}' means the part's own {name}, but the plan has a value of this name",
                formula.place_of(name),
                hint="rename the plan's value",
            )
    stands_in = any(name in OWN_SIZES and name in variables for name in formula.names)
    try:
        names = values
        for variable, first in use.variables:
            names = {**names, variable: first.quantity(values) if first else count(0)}
        if all(name in names for name in formula.names):
            if use.is_condition:
                formula.condition(names)
            else:
                formula.quantity(names, use.dimension)
    except FormulaError as fault:
        if not (stands_in and fault.diagnostic.code in _BY_VALUE):
            reading.findings.items.append(fault.diagnostic)

"""Formulas: their grammar, exact values, dimensions and the places of faults."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planpress.base.diagnostics import Findings, Place
from planpress.base.quantities import AREA, COUNT, LENGTH, TIME, Quantity, count, degrees, inches, mm
from planpress.description.formulas import FormulaError, parse_formula, solve_names
from tests.description.plans import PROPERTY

NAMES = {"gap": inches(1), "slats": count(9), "splay": degrees(6), "top_width": inches(12)}


def value(text: str) -> Quantity | bool:
    return parse_formula(text).value(NAMES)


def fault(text: str) -> tuple[int, str, str]:
    """Column, message and hint of a faulty formula."""
    with pytest.raises(FormulaError) as raised:
        parse_formula(text).value(NAMES)
    diagnostic = raised.value.diagnostic
    assert diagnostic.place is not None
    return diagnostic.place.column, diagnostic.message, diagnostic.hint


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("1-1/2 in", inches("3/2")),
        ("1 1/2 in", inches("3/2")),
        ("1½ in", inches("3/2")),
        ('3/4"', inches("3/4")),
        ("3/4in", inches("3/4")),
        ("5 ft 3-1/2 in", inches("127/2")),
        ("5' 3-1/2\"", inches("127/2")),
        ("5'-3\"", inches(63)),
        ("5 ft - 3 in", inches(57)),
        ("18 mm", mm(18)),
        ("6 deg", degrees(6)),
        ("45 min", Quantity(Fraction(45), TIME)),
        ("1 h 30 min", Quantity(Fraction(90), TIME)),
        ("top_width - 1/2 in", inches("23/2")),
        ("top_width-1/2 in", inches("23/2")),
        ("top_width -1-1/2 in", inches("21/2")),
        ("slats-1", count(8)),
        ("2-1", count(1)),
        ("3/4", count("3/4")),
        ("6/2/3", count(1)),
        ("slats/3/3", count(1)),
        ("12 in / 3/4 in", count(16)),
        ("top_width / 3 / 4 in", count(1)),
        ("1 + 2 * 3 - 4 / 2", count(5)),
        ("-2 * -(3 + 1)", count(8)),
        ("gap * gap", Quantity(Fraction("645.16"), AREA)),
        ("sqrt(gap * gap)", inches(1)),
        ("min(gap, 2 in, 5 mm)", mm(5)),
        ("max(gap, 2 in, 5 mm)", inches(2)),
        ("abs(1 - slats)", count(8)),
        ("round(1.03 in, 1/16 in)", inches(1)),
        ("floor(1.9 in, 1/4 in)", inches("7/4")),
        ("ceil(1.9 in, 1/4 in)", inches(2)),
        ("round(2.6)", count(3)),
        ("floor(slats / 2)", count(4)),
        ("ceil(slats / 2)", count(5)),
        ("sin(30 deg) + cos(60 deg) + tan(45 deg)", count(2)),
        ("asin(1)", degrees(90)),
        ("acos(0)", degrees(90)),
        ("atan(1)", degrees(45)),
    ],
)
def test_value(text: str, expected: Quantity) -> None:
    assert value(text) == expected


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("gap <= 1-1/4 in", True),
        ("gap > 25.4 mm", False),
        ("gap == 25.4 mm", True),
        ("gap != 25.4 mm", False),
        ("1/2 in < gap < 2 in", True),
        ("1/2 in < gap < 1 in", False),
        ("not gap < 1 in and slats == 9", True),
        ("gap < 1 in or slats == 9", True),
        ("slats == 1 or slats == 9 and gap < 1 in", False),
    ],
)
def test_condition(text: str, expected: bool) -> None:
    assert value(text) is expected


@pytest.mark.parametrize(
    ("text", "column", "message", "hint"),
    [
        ("top_width + slats", 11, "'top_width' is a length and 'slats' is a count; they cannot be added", ""),
        (
            "gap - 3",
            5,
            "'gap' is a length and '3' is a count; they cannot be subtracted",
            "write the unit: 3 in, 3 mm",
        ),
        ("2 * gap < slats", 9, "'2 * gap' is a length and 'slats' is a count; they cannot be compared", ""),
        ("gap == slats", 5, "'gap' is a length and 'slats' is a count; they cannot be compared", ""),
        ("2 * gapp", 5, "unknown name 'gapp'", "did you mean 'gap'?"),
        ("2 * qqq", 5, "unknown name 'qqq'", "known: gap, slats, splay, top_width"),
        ("flor(2)", 1, "unknown function 'flor'", "did you mean 'floor'?"),
        ("gap / (slats - 9)", 5, "division by zero: 'slats - 9' is 0", ""),
        ("sqrt(gap)", 1, "in 'sqrt(gap)': a length has no square root", ""),
        ("2 + sqrt(0 - 1)", 5, "in 'sqrt(0 - 1)': a negative value has no square root", ""),
        ("sin(3)", 1, "in 'sin(3)': what sin takes must be an angle, not a count", "write the unit: deg"),
        (
            "floor(gap)",
            1,
            "in 'floor(gap)': what floor takes must be a count, not a length",
            "write the step to round to: floor(..., 1/16 in)",
        ),
        ("not gap", 5, "'gap' is a length, not a comparison", ""),
        ("1 in + (gap < 1 in)", 9, "'gap < 1 in' is a comparison, not a number", ""),
        (
            "gap + 1-1/2",
            7,
            "1-1/2 has no unit",
            "a size needs its unit: 1-1/2 in; to subtract, put spaces: 1 - 1/2",
        ),
        (
            "gap/3/4 in",
            5,
            "it is not clear what 3/4 in divides",
            "put spaces round the sign that divides: x / 3/4 in, or x / 3 / 4 in",
        ),
        ("2 slats", 3, "unknown unit 'slats'", "to multiply, write 2 * slats"),
        ("1e999999999", 2, "unknown unit 'e999999999'", "to multiply, write 1 * e999999999"),
        ("gap + 1/0 in", 9, "a fraction cannot have 0 below the line", ""),
        ("gap * 9999999999999", 7, "the number has more than 12 digits in a row", ""),
        ("1/9999999999999", 3, "the number has more than 12 digits in a row", ""),
        ("9999999999999/2", 1, "the number has more than 12 digits in a row", ""),
        ("3 in 5", 6, "the second number has no unit", ""),
        ("gap = 3", 5, "the sign = has no meaning in a formula", "write == to compare"),
        ("gap ^ 2", 5, "the sign ^ has no meaning in a formula", "write a power as a product"),
        ("slats gap", 7, "an operator is missing before 'gap'", "write * to multiply"),
        (
            "2 * (gap",
            5,
            "this parenthesis is not closed",
            "in [ ] and { }, put quotes around a formula that has a comma in it",
        ),
        ("gap)", 4, "this parenthesis was never opened", ""),
        ("gap, 3", 4, "a comma may stand only between the values of a function", ""),
        ("* 3", 1, "a number or a name is missing before '*'", ""),
        ("3 *", 4, "the formula ends too early", ""),
        ("  ", 3, "an empty formula", ""),
        ("2 * sin", 5, "the function sin needs its value in parentheses", ""),
        ("round(1, 2, 3)", 1, "round has 3 values in parentheses", ""),
    ],
)
def test_fault_names_place_and_words(text: str, column: int, message: str, hint: str) -> None:
    assert fault(text) == (column, message, hint)


def test_unknown_unit_suggests_the_nearest() -> None:
    column, message, hint = fault("gap + 3 inhces")
    assert (column, message) == (9, "unknown unit 'inhces'")
    assert hint.startswith("perhaps inches")


def test_names_in_the_order_of_the_text() -> None:
    formula = parse_formula("max(b, a * c) < -b + d and not e == a")
    assert formula.names == ("b", "a", "c", "d", "e")


def test_place_counts_from_where_the_formula_stands() -> None:
    formula = parse_formula("gap + slats", Place("plan.yaml", 7, 20))
    assert formula.place == Place("plan.yaml", 7, 20)
    assert formula.place_of("slats") == Place("plan.yaml", 7, 26)
    with pytest.raises(FormulaError) as raised:
        formula.value(NAMES)
    assert raised.value.diagnostic.place == Place("plan.yaml", 7, 24)


def test_quantity_wants_its_dimension() -> None:
    assert parse_formula("2 * gap").quantity(NAMES, LENGTH) == inches(2)
    with pytest.raises(FormulaError) as raised:
        parse_formula("0").quantity(NAMES, LENGTH)
    found = raised.value.diagnostic
    assert (found.message, found.expected, found.hint) == ("'0' is a count", "a length", "write the unit: in, mm")
    with pytest.raises(FormulaError, match="is a comparison"):
        parse_formula("gap < 1 in").quantity(NAMES)
    with pytest.raises(FormulaError, match="'gap' is a length"):
        parse_formula("gap").condition(NAMES)


@pytest.mark.parametrize("text", ["(" * 51 + "1" + ")" * 51, "-" * 51 + "1", "abs(" * 51 + "1" + ")" * 51])
def test_nesting_is_bounded(text: str) -> None:
    assert fault(text)[1] == "parentheses are nested more than 50 deep"


def test_fifty_deep_is_allowed() -> None:
    assert value("(" * 50 + "1" + ")" * 50) == count(1)


def test_length_is_bounded() -> None:
    assert value("1" + " + 1" * 249) == count(250)
    assert fault("1" + " + 1" * 250)[1] == "a formula of 1001 characters"


def test_digits_are_bounded() -> None:
    formulas = {f"a{i}": parse_formula(f"a{i + 1} * a{i + 1}") for i in range(40)}
    findings = Findings()
    values = solve_names({**formulas, "a40": parse_formula("7")}, {}, findings)
    assert [item.message for item in findings.items] == ["the result has too many digits"]
    assert max(v.value.numerator.bit_length() for v in values.values()) <= 4096


# Random trees: the text goes through the parser, the value through Python's own fractions.
Pair = tuple[str, Fraction]


def _leaves() -> st.SearchStrategy[Pair]:
    whole = st.integers(0, 99).map(lambda n: (str(n), Fraction(n)))
    decimal = st.integers(0, 999).map(lambda n: (f"{n // 100}.{n % 100:02}", Fraction(n, 100)))
    names = st.sampled_from([("third", Fraction(1, 3)), ("seven", Fraction(7))])
    return st.one_of(whole, decimal, names)


def _grow(inner: st.SearchStrategy[Pair]) -> st.SearchStrategy[Pair]:
    def joined(operator: str, left: Pair, right: Pair) -> Pair:
        a, b = left[1], right[1]
        if operator == "/" and b == 0:
            operator = "+"
        results = {"+": a + b, "-": a - b, "*": a * b, "/": a / b if b else Fraction(0)}
        return f"({left[0]}) {operator} ({right[0]})", results[operator]

    binary = st.builds(joined, st.sampled_from("+-*/"), inner, inner)
    negative = inner.map(lambda pair: (f"-({pair[0]})", -pair[1]))
    least = st.builds(lambda a, b: (f"min({a[0]},{b[0]})", min(a[1], b[1])), inner, inner)
    greatest = st.builds(lambda a, b: (f"max({a[0]}, {b[0]})", max(a[1], b[1])), inner, inner)
    return st.one_of(binary, negative, least, greatest)


@PROPERTY
@given(st.recursive(_leaves(), _grow, max_leaves=12))
def test_trees_agree_with_fractions(pair: Pair) -> None:
    text, expected = pair
    names = {"third": count("1/3"), "seven": count(7)}
    assert parse_formula(text).value(names) == Quantity(expected, COUNT)


@PROPERTY
@given(st.lists(st.tuples(st.sampled_from("+-*/"), st.integers(1, 50)), min_size=1, max_size=12), st.integers(1, 50))
def test_ranks_agree_with_python(links: list[tuple[str, int]], first: int) -> None:
    """Without parentheses: the ranks and the order from left to right are those of Python."""
    text = str(first) + "".join(f" {operator} {number}" for operator, number in links)
    python = f"Fraction({first})" + "".join(f" {operator} Fraction({number})" for operator, number in links)
    assert parse_formula(text).value({}) == count(eval(python, {"Fraction": Fraction}))


@PROPERTY
@given(st.text(alphabet="0123456789 /-+*.()<>=,'\"½°inftmdeg gapslt_x\n", max_size=60))
def test_any_text_gives_a_value_or_a_formula_error(text: str) -> None:
    try:
        result = parse_formula(text).value(NAMES)
    except FormulaError as fault:
        place = fault.diagnostic.place
        assert place is not None
        assert 1 <= place.column <= len(text) + 1
    else:
        assert isinstance(result, bool | Quantity)


def _solve(**texts: str) -> tuple[dict[str, Quantity], list[str]]:
    findings = Findings()
    formulas = {
        name: parse_formula(text, Place("plan.yaml", line, 5))
        for line, (name, text) in enumerate(texts.items(), start=3)
    }
    values = solve_names(formulas, NAMES, findings)
    return values, [f"{d.place.line}:{d.place.column} {d.message}" for d in findings.items if d.place]


def test_solve_in_order_of_need() -> None:
    values, faults = _solve(a="b + gap", b="2 * c", c="1 in")
    assert faults == []
    assert list(values) == [*NAMES, "a", "b", "c"]
    assert values["a"] == inches(3)


def test_cycle_is_a_chain_with_lines() -> None:
    values, faults = _solve(a="b + 1", b="c * 2", c="a", d="a + slats", e="slats")
    assert faults == ["3:5 a (line 3) needs b (line 4) needs c (line 5) needs a"]
    assert list(values) == [*NAMES, "e"]


def test_a_formula_that_needs_itself() -> None:
    assert _solve(a="a + 1")[1] == ["3:5 a (line 3) needs a"]


def test_long_cycles_are_shortened() -> None:
    chain = {f"a{i}": f"a{(i + 1) % 500}" for i in range(500)}
    [message] = _solve(**chain)[1]
    assert message.startswith("3:5 a0 (line 3) needs a1 (line 4)")
    assert message.endswith("needs ... needs a499 (line 502) needs a0")


def test_all_faults_of_all_formulas() -> None:
    values, faults = _solve(a="gapp + slots", b="gap + slats", c="a + 1", d="slats / 0", e="gap < 1 in", f="slats")
    assert faults == [
        "3:5 unknown name 'gapp'",
        "3:12 unknown name 'slots'",
        "4:9 'gap' is a length and 'slats' is a count; they cannot be added",
        "6:11 division by zero: '0' is 0",
        "7:5 'gap < 1 in' is a comparison",
    ]
    assert list(values) == [*NAMES, "f"]


def test_deep_chains_need_no_deep_stack() -> None:
    chain = {f"a{i}": f"a{i + 1} + 1" for i in range(3000)}
    values, faults = _solve(**chain, a3000="1")
    assert faults == []
    assert values["a0"] == count(3001)

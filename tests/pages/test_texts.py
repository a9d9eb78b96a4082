"""Texts: values in the edition's form, escaped; faults with their place."""

from __future__ import annotations

from fractions import Fraction

import pytest

from planpress.base.diagnostics import Place, PlanFaults
from planpress.base.edition import Edition
from planpress.base.lettering import plain
from planpress.base.printing import Units
from planpress.base.quantities import TIME, Quantity, count, degrees, inches, mm
from planpress.pages.texts import Texts

SOURCES = {
    "a.j2": "{% block one %}<b>{{ name }}</b> is {{ length }}\n   long{% endblock %}\n\n"
    "{% block two %}first line\n{{ nothing }}{% endblock %}\n{% block three %}{{ 1 / 0 }}{% endblock %}",
    "broken.j2": "{% block one %}\n{{ {% endblock %}",
}
INCHES = Texts(SOURCES, Edition(Units.IMPERIAL, "letter"))
MILLIMETRES = Texts(SOURCES, Edition(Units.METRIC, "a4"))
VALUES = {
    "slats": count(9),
    "length": inches(Fraction(3, 2)),
    "splay": degrees(6),
    "wait": Quantity(Fraction(90), TIME),
}
HERE = Place("plan.yaml", 8, 15)


def test_a_block_is_one_line_of_markup_with_escaped_values() -> None:
    assert plain(INCHES.block("a", "one", name="<x> & y", length=inches(Fraction(3, 2)))) == (
        "<b>&lt;x&gt; &amp; y</b> is 1 1/2 long"
    )


def test_makers_texts_use_values_in_the_editions_form() -> None:
    text = "{{ slats | words | capitalize }} slats, {{ slats - 1 }} gaps, "
    text += "{{ length }} or {{ length | unit }}, {{ splay }}, {{ wait }}"
    assert plain(INCHES.of_maker(text, VALUES, "introduction", HERE)).replace("\xa0", " ") == (
        "Nine slats, 8 gaps, 1 1/2 or 1 1/2 in, 6°, 1 h 30 min"
    )
    metric = {"length": mm(38), "slats": count(9), "splay": degrees(6), "wait": VALUES["wait"]}
    assert "38 or 38\xa0mm" in MILLIMETRES.of_maker(text, metric, "introduction", HERE)


def test_makers_markup_is_no_markup() -> None:
    assert INCHES.of_maker("a < b & <b>c</b>", VALUES, "introduction", HERE) == "a < b & <b>c</b>"


def test_no_break_spaces_survive() -> None:
    assert INCHES.of_maker("page\xa07\n  ends", VALUES, "introduction", HERE) == "page\xa07 ends"


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("{{ slots }}", "introduction: there is no value named 'slots'"),
        ("{{ length | words }}", "introduction: only whole counts have words, not 1 1/2"),
        ("{{ slats | feet }}", "introduction: the filter 'feet' is for lengths"),
        ("{{ slats + length }}", "introduction: a count and a length cannot be added"),
        ("{{ slats | wrds }}", "introduction: No filter named 'wrds'."),
        ("{{ slats / 0 }}", "introduction: a count cannot be divided by zero"),
        ("{{ length * length }}", "introduction: an area cannot be printed in a text"),
    ],
)
def test_faults_of_makers_texts_have_the_place_in_the_plan(text: str, message: str) -> None:
    with pytest.raises(PlanFaults) as caught:
        INCHES.of_maker(text, VALUES, "introduction", HERE)
    (fault,) = caught.value.diagnostics
    assert plain(fault.message) == message
    assert fault.place == HERE


def test_an_unknown_name_gets_a_suggestion() -> None:
    with pytest.raises(PlanFaults) as caught:
        INCHES.of_maker("{{ slots }}", VALUES, "introduction", HERE)
    assert caught.value.diagnostics[0].hint == "did you mean 'slats'?"


@pytest.mark.parametrize("text", ["{{ slats.__class__.__mro__ }}", "{{ ''.__class__.__base__.__subclasses__() }}"])
def test_the_sandbox_holds(text: str) -> None:
    with pytest.raises(PlanFaults, match="unsafe"):
        INCHES.of_maker(text, VALUES, "introduction", HERE)


@pytest.mark.parametrize(
    ("name", "block", "place", "words"),
    [
        ("a", "two", Place("a.j2", 5, 1), "'nothing' is undefined"),
        ("a", "three", Place("a.j2", 6, 1), "division by zero"),
        ("a", "four", Place("a.j2", 1, 1), "no block 'four'"),
        ("b", "one", Place("b.j2", 1, 1), "there are no texts 'b.j2'"),
        ("broken", "one", Place("broken.j2", 2, 1), "cannot be read"),
    ],
)
def test_faults_of_templates_have_their_line(name: str, block: str, place: Place, words: str) -> None:
    with pytest.raises(PlanFaults) as caught:
        INCHES.block(name, block)
    (fault,) = caught.value.diagnostics
    assert words in fault.message
    assert fault.place == place

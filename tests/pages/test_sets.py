"""Whole plan sets, read back from the finished file."""

from __future__ import annotations

import re

import page as validation
import pikepdf
import pypdfium2
import pytest
from attrs import evolve

from planpress.base.printing import Units
from planpress.pages import plan_set as composing
from planpress.pages.block import Block
from planpress.pages.plan_set import PlanSet
from tests.pages.layout_check import MM, faults
from tests.pages.sets import edition_of, set_of, stand_set, with_long_words
from tests.plans import OTHER_DEMOS, solved_demo, solved_stand
from tests.writers.reading import elements, opened, texts

SETS = [
    pytest.param(Units.IMPERIAL, "", id="inches"),
    pytest.param(Units.METRIC, "", id="millimetres"),
    pytest.param(Units.IMPERIAL, "balcony", id="balcony"),
]


def words_of(pages: list[str]) -> list[str]:
    """The text of each page on one line, blanks alike."""
    return [" ".join(text.replace("\xa0", " ").split()) for text in pages]


@pytest.mark.parametrize(("units", "size"), SETS)
def test_pages_have_no_layout_faults(units: Units, size: str) -> None:
    assert faults(stand_set(units, size).pdf) == []


@pytest.mark.parametrize("units", list(Units))
@pytest.mark.parametrize("name", OTHER_DEMOS)
def test_pages_of_the_other_demos_have_no_layout_faults(name: str, units: Units) -> None:
    assert faults(set_of(solved_demo(name, units), edition_of(units)).pdf) == []


def test_long_words_have_no_layout_faults() -> None:
    plan_set = set_of(with_long_words(solved_stand(Units.METRIC)), edition_of(Units.METRIC))
    assert faults(plan_set.pdf) == []


@pytest.mark.parametrize("units", list(Units))
def test_the_file_passes_all_rules_of_pdf_ua_1(units: Units) -> None:
    report = validation.validate_pdf_bytes(stand_set(units).pdf, profile=validation.ValidationProfile.PDF_UA_1)
    assert report.rules.total == 104
    assert list(report.failures) == []


@pytest.mark.parametrize("units", list(Units))
def test_every_page_says_which_it_is(units: Units) -> None:
    plan_set = stand_set(units)
    pages = words_of(texts(plan_set.pdf))
    assert len(pages) == plan_set.page_count
    for number, text in enumerate(pages, start=1):
        assert f"{number} of {len(pages)}" in text
        for part in ("Seedling stand", "Demo Workshop", "Version 1.0.0", "12 May 2026", edition_of(units).name):
            assert part in text
        assert re.search(r"Not to scale|[Ss]cale|Full size|full size|Finished sizes|No drawing", text)


@pytest.mark.parametrize("units", list(Units))
def test_pages_that_are_named_are_where_they_are_said_to_be(units: Units) -> None:
    """The cover's list and hint against the titles printed on those pages."""
    plan_set = stand_set(units)
    pages = words_of(texts(plan_set.pdf))
    listed = re.findall(
        r"(\d+)(?:–\d+)? (How to read|View and parts|Views|Part drawings|Set-up cards|Steps|About|Full-size)", pages[0]
    )
    titles = {
        "How to read": "How to read this plan",
        "View and parts": "Exploded view and parts",
        "Views": "Views",
        "Part drawings": "Slat A",
        "Set-up cards": "Set-up card 1",
        "Steps": "Let the wood settle",
        "About": "About this edition",
        "Full-size": "Template:",
    }
    assert [name for _, name in listed] == list(titles)
    for number, name in listed:
        assert titles[name] in pages[int(number) - 1]
    hint = re.search(r"Check the print on page (\d+)", pages[0])
    assert hint is not None
    assert "Print check" in pages[int(hint[1]) - 1]


def test_bookmarks_labels_and_metadata() -> None:
    plan_set = stand_set()
    with opened(plan_set.pdf) as file, file.open_outline() as outline:
        titles = [item.title for item in outline.root]
        assert titles[0] == "Seedling stand"
        assert {"How to read this plan", "Exploded view and parts", "Views", "About this edition"} <= set(titles)
        steps = [kid.title for item in outline.root for kid in item.children]
        assert any(title.startswith("1  ") for title in steps)
        assert str(file.docinfo["/Title"]) == "Seedling stand: Inches, Letter"
        assert str(file.docinfo["/Author"]) == "Demo Workshop"
        assert plan_set.content_id in str(file.docinfo["/Subject"])
        assert file.Root.ViewerPreferences.PrintScaling == pikepdf.Name("/None")
    with pypdfium2.PdfDocument(plan_set.pdf) as document:
        labels = [document.get_page_label(n) for n in range(len(document))]
    assert labels == [str(n) for n in range(1, plan_set.page_count + 1)]


@pytest.mark.parametrize("units", list(Units))
def test_reading_order_is_that_of_the_pages_and_figures_have_words(units: Units) -> None:
    plan_set = stand_set(units)
    with opened(plan_set.pdf) as file:
        number_of = {pdf_page.objgen: n for n, pdf_page in enumerate(file.pages)}
        found = list(elements(file.Root.StructTreeRoot.K))
        sections = [e for e in found if str(e.S) == "/H1"]
        order = [number_of[e.Pg.objgen] for e in sections]
        figures = [str(e.Alt) for e in found if str(e.S) == "/Figure"]
    assert order == sorted(order)
    assert len(figures) >= 15
    assert all(len(words) > 10 for words in figures)
    assert any("notch" in words.lower() or "slat" in words.lower() for words in figures)


def test_equal_input_gives_equal_bytes() -> None:
    again = set_of(solved_stand(), edition_of(Units.IMPERIAL))
    assert again.pdf == stand_set().pdf
    assert again.stamp == stand_set().stamp


def test_the_content_id_follows_every_change() -> None:
    plan, edition, words = solved_stand(), edition_of(Units.IMPERIAL), {"a.j2": "x"}
    base = composing.content_id(plan, edition, words)
    changed = [
        composing.content_id(solved_stand(gap="1 in"), edition, words),
        composing.content_id(plan, evolve(edition, paper="a4"), words),
        composing.content_id(plan, edition, {"a.j2": "y"}),
        composing.content_id(evolve(plan, description=evolve(plan.description, version="1.0.1")), edition, words),
    ]
    assert len({base, *changed}) == 5
    assert composing.content_id(plan, edition, {"a.j2": "x", "new_plan.yaml": "z"}) == base


def test_a_computed_variant_says_so_and_names_its_changes() -> None:
    built = " ".join(words_of(texts(stand_set().pdf)))
    variant = words_of(texts(stand_set(Units.IMPERIAL, "balcony").pdf))
    assert "has not been built" not in built
    assert "has not been built" in variant[0]
    assert any("This size has not been built" in text and "changed" in text for text in variant[1:])
    assert "Inches, Letter, balcony" in variant[0]


def test_the_introduction_follows_the_plan() -> None:
    assert "Nine slats on edge, lapped over three bearers" in words_of(texts(stand_set().pdf))[0]
    assert "Seven slats" in words_of(texts(stand_set(Units.IMPERIAL, "balcony").pdf))[0]


def dark_rectangle_spans(plan_set: PlanSet, number: int) -> list[tuple[float, float, float, float]]:
    """Bounds (mm in the block, y down) of the filled dark shapes of a page that are at least 100 long."""
    out = []
    with pypdfium2.PdfDocument(plan_set.pdf) as document:
        pdf_page = document[number - 1]
        height = pdf_page.get_height()
        above = (height / MM - 252.0) / 2
        for thing in pdf_page.get_objects(filter=[pypdfium2.raw.FPDF_PAGEOBJ_PATH]):
            left, bottom, right, top = (value / MM for value in thing.get_bounds())
            if max(right - left, top - bottom) > 100.0 and min(right - left, top - bottom) < 6.0:
                page_top = height / MM - above
                out.append((left - 18.0, page_top - top, right - 18.0, page_top - bottom))
    return out


@pytest.mark.parametrize(("units", "length"), [(Units.IMPERIAL, 152.4), (Units.METRIC, 150.0)])
def test_check_bars_are_true_on_the_print_check_and_on_every_template(units: Units, length: float) -> None:
    plan_set = stand_set(units)
    numbers = [p.number for p in plan_set.pages if p.key == "reading" or p.key.startswith("templates")]
    assert len(numbers) >= 4
    for number in numbers:
        spans = dark_rectangle_spans(plan_set, number)
        across = [right - left for left, top, right, bottom in spans if right - left == pytest.approx(length, abs=0.02)]
        down = [bottom - top for left, top, right, bottom in spans if bottom - top == pytest.approx(length, abs=0.02)]
        assert len(across) == 1
        assert len(down) == 1


@pytest.mark.parametrize("units", list(Units))
def test_both_papers_break_alike(units: Units) -> None:
    edition = edition_of(units)
    other = evolve(edition, paper="a4" if edition.paper == "letter" else "letter")
    there = set_of(solved_stand(units), other)
    assert [(p.key, p.title, p.what) for p in there.pages] == [(p.key, p.title, p.what) for p in stand_set(units).pages]
    with pypdfium2.PdfDocument(there.pdf) as document:
        assert {tuple(round(v, 2) for v in document.get_page_size(n)) for n in range(len(document))} == {
            tuple(round(v, 2) for v in Block(other.paper).page_size)
        }


def test_a_set_without_steps_has_no_step_pages_and_still_agrees() -> None:
    plan_set = set_of(solved_stand(), edition_of(Units.IMPERIAL), lambda _: ())
    assert not any(p.key.startswith("steps") for p in plan_set.pages)
    assert faults(plan_set.pdf) == []
    assert "Caution." not in texts(plan_set.pdf)[1]


@pytest.mark.parametrize(("units", "size"), SETS)
def test_joints_follow_the_part_drawings_and_are_bookmarked(units: Units, size: str) -> None:
    plan_set = stand_set(units, size)
    keys = [page.key for page in plan_set.pages]
    first = keys.index("joints")
    assert keys[first - 1].startswith("part-drawings")
    places = [plan_set.bookmarks[f"joint-{number}"] for number in range(1, 5)]
    assert places == sorted(places)
    assert {keys[number - 1].partition("-")[0] for number in places} == {"joints"}
    words = " ".join(words_of(texts(plan_set.pdf))[first : max(places)])
    for heading in ("Cross lap", "End lap, 6° skew", "End lap, 6° skew, with dowel", "Wood screw"):
        assert heading in words

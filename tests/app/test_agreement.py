"""The printed set against the model, read by another library: table, drawings, templates, true size, tags."""

from __future__ import annotations

import re
from pathlib import Path

import page
import pikepdf
import pypdf
import pypdfium2
import pytest

from planpress.base.edition import Edition
from planpress.base.lettering import plain
from planpress.base.printing import Units
from planpress.model.records import Part, SolvedPlan
from tests.app.builds import DEMO, EDITIONS, built, page_texts
from tests.app.outlines import outline_errors
from tests.plans import solved_stand

CASES = pytest.mark.parametrize(("units", "paper", "settings"), EDITIONS)
Settings = tuple[tuple[str, str], ...]


def model(units: str, settings: Settings) -> SolvedPlan:
    """The model that the edition was printed from, solved anew."""
    return solved_stand(Units(units), "", **dict(settings))


def words(text: str) -> str:
    """A printed value as plain text."""
    return plain(text).replace("\u00a0", " ").strip()


@CASES
def test_parts_table_equals_the_model(units: str, paper: str, settings: Settings) -> None:
    plan, edition = model(units, settings), Edition(Units(units), paper)
    table = next(t for t in page_texts(built(units, paper, settings).plan_set) if "Finished sizes in" in t)
    table = table[table.index("Finished sizes in") :]
    for part in plan.parts:
        sizes = [words(edition.length(s)) for s in (part.thickness, part.width, part.length)]
        row = " ".join([part.label, str(part.count), *sizes, part.material.label])
        assert row in table, (row, table)


@CASES
def test_notch_positions_stand_on_drawings_and_templates(units: str, paper: str, settings: Settings) -> None:
    plan, edition = model(units, settings), Edition(Units(units), paper)
    texts = page_texts(built(units, paper, settings).plan_set)
    for part in plan.parts:
        if not part.notches:
            continue
        drawing = " ".join(t for t in texts if "Part drawings" in t and heading(part) in t)
        name = f"{part.label.split(',')[0].lower()} {part.letter}"
        templates = " ".join(t for t in texts if "Full size, 1 : 1" in t and name in t)
        assert drawing, part.label
        assert templates, part.label
        for value in positions(part, edition):
            before = r"(?<![\d/])" if value[0].isdigit() else ""
            pattern = rf"{before}{re.escape(value)}(?![\d/])"
            assert re.search(pattern, drawing), (part.letter, value, drawing)
            assert re.search(pattern, templates), (part.letter, value, templates)


def heading(part: Part) -> str:
    """How a part's drawing is headed in the text of its page."""
    pieces = "piece" if part.count == 1 else "pieces"
    return f"{part.letter} {part.label} {part.count} {pieces}"


def positions(part: Part, edition: Edition) -> list[str]:
    """Near sides of the notches on the reference edge, as printed."""
    out = []
    for notch in part.notches:
        second = notch.across[1] if part.reference_edge.is_far else notch.across[0]
        if notch.side.axis == 1:
            second = notch.across[0]
        out.append(words(edition.length(notch.shoulders(second)[0])))
    return out


@pytest.mark.parametrize("paper", ["letter", "a4"])
@pytest.mark.parametrize("units", ["imperial", "metric"])
def test_template_outlines_measure_true(units: str, paper: str) -> None:
    """P67: within 0.05 mm of the model, measured by pdfium in the file."""
    found = outline_errors(built(units, paper).plan_set, model(units, ()))
    assert {letter for letter, _ in found} == {"A", "B", "C", "D"}
    assert max(error for _, error in found) < 0.05, found


@CASES
def test_overall_and_pages(units: str, paper: str, settings: Settings) -> None:
    edition = built(units, paper, settings)
    texts = page_texts(edition.plan_set)
    assert len(texts) == edition.pages
    for number, text in enumerate(texts, start=1):
        assert f"{number} of {edition.pages}" in text, text
        assert "Version 1.0.0" in text


@pytest.mark.parametrize(("units", "paper"), [("imperial", "letter"), ("metric", "a4")])
def test_tags_pass_and_other_readers_open_the_set(units: str, paper: str) -> None:
    path = built(units, paper).plan_set
    report = page.validate_pdf_bytes(path.read_bytes(), profile=page.ValidationProfile.PDF_UA_1)
    assert report.rules.total == 104
    assert list(report.failures) == []
    with pikepdf.open(path) as pdf:
        assert pdf.check_pdf_syntax() == []
        assert pdf.Root.ViewerPreferences.PrintScaling == "/None"
        fonts = {str(font.BaseFont) for p in pdf.pages for font in p.Resources.get("/Font", {}).values()}
        assert fonts
        assert all("SourceSans" in name.replace(" ", "") for name in fonts), fonts
    reader = pypdf.PdfReader(path, strict=True)  # a third reader: warnings fail the test
    assert len(reader.pages) == len(pypdfium2.PdfDocument(path)) == built(units, paper).pages
    assert "Seedling stand" in reader.pages[0].extract_text()
    document = pypdfium2.PdfDocument(path)
    assert all(p.render(scale=0.2).width > 0 for p in document)
    document.close()


def test_the_demo_lies_where_the_readme_says() -> None:
    assert (DEMO / "plan.yaml").is_file()
    assert Path(built().plan_set).name == "seedling-stand-imperial-letter.pdf"

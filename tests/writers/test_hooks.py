"""Each inner name of ReportLab that the writer uses still does what we use it for."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest
from reportlab import rl_config
from reportlab.pdfbase import pdfdoc, pdfmetrics

from planpress.base.display import Face
from planpress.writers.pdf import hooks
from planpress.writers.pdf.fonts import font, font_name, register_fonts


class _Canvas(hooks.HookedCanvas):
    finished: list[Any]

    def page_finished(self, page: Any) -> None:
        self.finished.append(page)


@pytest.fixture(name="canvas")
def _canvas() -> _Canvas:
    register_fonts()
    document = pdfdoc.PDFDocument(compression=0, invariant=1)
    canvas = _Canvas(document, (200.0, 100.0), font_name(Face.REGULAR))
    canvas.finished = []
    return canvas


def test_settings_exist_and_are_pinned() -> None:
    for name, value in hooks.PINNED.items():
        assert hasattr(rl_config, name)
        assert getattr(rl_config, name) == value


def test_operators_go_to_the_page(canvas: _Canvas) -> None:
    assert not canvas.has_content()
    canvas.operators("% here")
    assert canvas.has_content()
    canvas.showPage()
    assert "% here" in canvas.finished[0].stream
    assert not canvas.has_content()


def test_pages_are_seen_when_finished_and_forms_are_not(canvas: _Canvas) -> None:
    assert canvas.page_id() == "Page1"
    canvas.beginForm("form")
    canvas.endForm()
    assert canvas.finished == []
    canvas.showPage()
    (page,) = canvas.finished
    assert isinstance(page, pdfdoc.PDFPage)
    assert canvas.document.idToObject["Page1"] is page
    assert canvas.page_id() == "Page2"


def test_no_standard_font_is_named(canvas: _Canvas) -> None:
    canvas.showPage()
    assert "Tf" not in canvas.finished[0].stream
    assert b"Helvetica" not in canvas.getpdfdata()


def test_entries_can_be_added_to_pages_and_the_catalogue(canvas: _Canvas) -> None:
    canvas.showPage()
    hooks.add_catalogue_entry(canvas.finished[0], "StructParents", 7)
    hooks.add_catalogue_entry(canvas.document.Catalog, "OCProperties", "null")
    data = canvas.getpdfdata()
    assert b"/StructParents 7" in data
    assert b"/OCProperties null" in data


def test_annotations_are_numbered(canvas: _Canvas) -> None:
    names = [canvas.add_annotation(pdfdoc.PDFDictionary({"Subtype": "/Link"})) for _ in range(2)]
    assert [type(canvas.document.idToObject[name]) for name in names] == [pdfdoc.PDFDictionary] * 2
    canvas.showPage()
    assert len(canvas.finished[0].Annots) == 2


def test_rectangles_and_the_matrix_follow_the_user_space(canvas: _Canvas) -> None:
    canvas.translate(10, 20)
    canvas.scale(2, 2)
    assert canvas.matrix == (2, 0, 0, 2, 10, 20)
    assert canvas.page_rectangle((0, 0, 5, 6)) == (10, 20, 20, 32)


def test_destinations_may_be_set_later(canvas: _Canvas) -> None:
    place = canvas.destination("later")
    canvas.bookmarkPage("later")
    assert canvas.destination("later") is place
    assert place.page.name == "Page1"


def test_text_objects_can_be_marked_and_end_lines_with_a_space(canvas: _Canvas) -> None:
    text = hooks.MarkedText(canvas, 0, 0)
    text.setFont(font_name(Face.REGULAR), 10)
    text._textOut("ab", 1)
    text.operators("EMC")
    text.operators_before_last("% before the last")
    code = text.getCode()
    (codes,) = (operand for _, operand in hooks.encoded(font(Face.REGULAR), "ab ", canvas.document))
    assert codes + " Tj" in code
    assert code.index("T*") < code.index("% before the last") < code.index("EMC") < code.index("ET")


def test_links_of_text_objects_are_reported(canvas: _Canvas) -> None:
    text = hooks.MarkedText(canvas, 0, 0)
    seen: list[tuple[Any, bool]] = []
    text.on_link(lambda link, starts: seen.append((link, starts)))
    report: Any = text._linkRecord
    report((1, "#key"), "start")
    report((1, "#key"), "end")
    assert seen == [((1, "#key"), True), ((1, "#key"), False)]


def test_date_and_version(canvas: _Canvas) -> None:
    hooks.set_date(canvas.document, date(2026, 5, 12))
    hooks.set_version(canvas.document, (1, 7))
    assert hooks.version(canvas.document) == (1, 7)
    data = canvas.getpdfdata()
    assert data.startswith(b"%PDF-1.7")
    assert b"D:20260512120000" in data


def test_forms_are_found_by_their_name(canvas: _Canvas) -> None:
    canvas.document.Reference(pdfdoc.PDFStream(content=b""), hooks.form_id("stamp"))
    assert canvas.hasForm("stamp")
    canvas.doForm("stamp")
    canvas.showPage()
    assert f"/{hooks.form_id('stamp')} Do" in canvas.finished[0].stream


def test_fonts_are_known_without_being_read() -> None:
    read: list[Any] = []
    path = font(Face.ITALIC)._path
    lazy = hooks.LazyFont("Test-Lazy", path, read.append, {})
    hooks.register(lazy)
    assert pdfmetrics.getFont("Test-Lazy") is lazy
    assert read == []
    assert pdfmetrics.stringWidth("Slat", "Test-Lazy", 10) == font(Face.ITALIC).stringWidth("Slat", 10)
    assert read == [lazy.face]


def test_tables_of_a_font_can_be_replaced() -> None:
    lazy = hooks.LazyFont("Test-Table", font(Face.ITALIC)._path, lambda face: None, {})
    before = lazy.face.get_table("head")
    hooks.replace_table(lazy.face, "maxp", b"12345")
    assert lazy.face.get_table("maxp") == b"12345"
    assert lazy.face.get_table("head") == before


def test_readers_get_the_spelled_text(canvas: _Canvas) -> None:
    lazy = hooks.LazyFont("Test-Spelled", font(Face.ITALIC)._path, lambda face: None, {ord("x"): " 3/4"})
    ((name, operand),) = hooks.encoded(lazy, "x", canvas.document)
    canvas.operators(f"BT {name} 10 Tf {operand} Tj ET")
    data = canvas.getpdfdata()
    assert b"<01> <0020003" in data.upper()
    assert b"<0020>\n<0020>" not in data

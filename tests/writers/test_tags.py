"""The tagged sample against the PDF/UA-1 rules of an outside checker and against a reader of our own."""

from __future__ import annotations

from typing import Any

import page as validation
import pikepdf
import pytest
from reportlab.lib.styles import ParagraphStyle
from reportlab.platypus.doctemplate import BaseDocTemplate, PageTemplate
from reportlab.platypus.frames import Frame

from planpress.base.display import Face, Figure
from planpress.writers.pdf.document import Written
from planpress.writers.pdf.flowables import TaggedParagraph
from planpress.writers.pdf.fonts import font_name
from planpress.writers.pdf.stamp import stamped
from planpress.writers.pdf.structure import Node
from planpress.writers.pdf.writing import PdfWriter
from tests.writers.reading import elements, kids, marks, opened, texts
from tests.writers.sample import FIGURE, LETTER, SETTINGS, sample


@pytest.fixture(scope="module", name="written")
def _written() -> Written:
    return sample()


def failed_rules(pdf: bytes) -> list[Any]:
    """The PDF/UA-1 rules (ISO 14289-1) that a file breaks, by the package page-validation."""
    report = validation.validate_pdf_bytes(pdf, profile=validation.ValidationProfile.PDF_UA_1)
    assert report.rules.total == 104
    return list(report.failures)


def test_the_sample_passes_all_rules_of_pdf_ua_1(written: Written) -> None:
    assert failed_rules(written.data) == []


def test_a_stamped_copy_passes_them_too(written: Written) -> None:
    assert written.place is not None
    assert failed_rules(stamped(written.data, written.place, b"0 g 0 0 100 9 re f")) == []


def test_the_checker_finds_a_figure_without_words() -> None:
    pdf = PdfWriter(SETTINGS)
    canvas = pdf.new_canvas(LETTER)
    node = pdf.tags.add("Figure")
    with canvas.tagged(node):
        canvas.line(0, 0, 100, 100)
    assert failed_rules(canvas.finish().data) != []


def test_every_mark_is_in_the_parent_tree_once_and_named_by_its_element(written: Written) -> None:
    with opened(written.data) as document:
        tree = pikepdf.NumberTree(document.Root.StructTreeRoot.ParentTree)
        named: dict[tuple[Any, int], list[Any]] = {}
        for element in elements(document.Root.StructTreeRoot.K):
            for kid in kids(element):
                if isinstance(kid, int):
                    named.setdefault((element.Pg.objgen, kid), []).append(element)
                elif kid.get("/Type") == "/MCR":
                    named.setdefault((kid.Pg.objgen, int(kid.MCID)), []).append(element)
        seen = []
        for page in document.pages:
            entry = tree[int(page.StructParents)]
            assert isinstance(entry, pikepdf.Array)
            numbers = [(tag, number) for tag, number in marks(page) if number is not None]
            assert sorted(number for _, number in numbers) == list(range(len(entry)))
            for tag, number in numbers:
                (element,) = named[page.objgen, number]
                assert entry[number].objgen == element.objgen
                assert tag == element.S
                seen.append((page.objgen, number))
        assert sorted(seen) == sorted(named)


def test_every_link_leads_back_to_its_element(written: Written) -> None:
    with opened(written.data) as document:
        tree = pikepdf.NumberTree(document.Root.StructTreeRoot.ParentTree)
        owners = {
            kid.Obj.objgen: element
            for element in elements(document.Root.StructTreeRoot.K)
            for kid in kids(element)
            if isinstance(kid, pikepdf.Dictionary) and kid.get("/Type") == "/OBJR"
        }
        annotations = [annotation for page in document.pages for annotation in page.get("/Annots", [])]
        assert len(annotations) > 60
        for annotation in annotations:
            element = owners[annotation.objgen]
            assert tree[int(annotation.StructParent)].objgen == element.objgen
            assert element.S == "/Link"
            assert str(annotation.Contents) in ("the second page of it", "All of it a link")
        assert len(owners) == len(annotations)


def test_a_link_to_the_web_has_its_address(written: Written) -> None:
    with opened(written.data) as document:
        actions = [one.A for page in document.pages for one in page.get("/Annots", []) if "/A" in one]
        assert [(str(action.S), str(action.URI)) for action in actions] == [("/URI", "https://example.com/plans")]


def test_links_lead_to_their_bookmarks(written: Written) -> None:
    with opened(written.data) as document:
        places = [one.Dest for page in document.pages for one in page.get("/Annots", []) if "/Dest" in one]
        assert {place[0].objgen for place in places} == {document.pages[1].objgen}


@pytest.mark.parametrize("inside", ["word " * 900, "word <b>bold</b> " * 450], ids=["plain", "mixed"])
def test_a_link_over_the_end_of_a_page_is_one_element(inside: str) -> None:
    pdf = PdfWriter(SETTINGS)
    style = ParagraphStyle("s", fontName=font_name(Face.REGULAR))
    node = pdf.tags.add("P")
    template = BaseDocTemplate(None, pagesize=LETTER, initialFontName=font_name(Face.REGULAR))
    template.addPageTemplates(
        PageTemplate("page", [Frame(50, 50, 500, 300)], onPage=lambda canvas, _: canvas.bookmark("top"))
    )
    template.build([TaggedParagraph(f"<a href='#top'>{inside}</a>", style, node)], canvasmaker=pdf.canvasmaker)
    data = pdf.written().data
    assert failed_rules(data) == []
    with opened(data) as document:
        (link,) = (e for e in elements(document.Root.StructTreeRoot.K) if e.S == "/Link")
        pages = {kid.Pg.objgen for kid in kids(link) if isinstance(kid, pikepdf.Dictionary)}
        assert pages == {page.objgen for page in document.pages}
        assert len(pages) >= 2
        assert str(link.Pg.Annots[0].Contents) == " ".join(inside.replace("<b>", "").replace("</b>", "").split())


def test_a_link_drawn_directly() -> None:
    pdf = PdfWriter(SETTINGS)
    canvas = pdf.new_canvas(LETTER)
    node = pdf.tags.add("P").add("Link")
    canvas.bookmark("here", top=700)
    canvas.translate(100, 100)
    canvas.write(0, 0, "This page", node=node)
    canvas.link(node, (0, -2, 40, 9), "here", "To this page")
    data = canvas.finish().data
    assert failed_rules(data) == []
    with opened(data) as document:
        (annotation,) = document.pages[0].Annots
        assert [float(value) for value in annotation.Rect] == [100, 98, 140, 109]
        assert str(annotation.Contents) == "To this page"
    with pytest.raises(ValueError, match="words"):
        pdf.new_canvas(LETTER).link(node, (0, 0, 1, 1), "here", "")


def test_the_reading_order_is_the_composers(written: Written) -> None:
    with opened(written.data) as document:
        section = document.Root.StructTreeRoot.K.K
        assert [str(kid.S) for kid in kids(section)] == ["/H1", "/P", "/P", "/L", "/Table", "/Figure"]
        (item,) = kids(kids(section)[3])
        assert [str(kid.S) for kid in kids(item)] == ["/Lbl", "/LBody"]
        rows = kids(kids(section)[4])
        assert [[str(cell.S) for cell in kids(row)] for row in rows] == [["/TH", "/TH"], *[["/TD", "/TD"]] * 2]
        assert str(kids(rows[0])[0].A[0].Scope) == "/Column"


def test_a_figure_has_words_and_bounds(written: Written) -> None:
    with opened(written.data) as document:
        (figure,) = (e for e in elements(document.Root.StructTreeRoot.K) if e.S == "/Figure")
        assert str(figure.Alt) == "A board from above, 28 11/16 long"
        left, bottom, right, top = (float(value) for value in figure.A[0].BBox)
        assert right - left == pytest.approx(160 / 25.4 * 72, abs=0.01)
        assert top - bottom == pytest.approx(80 / 25.4 * 72, abs=0.01)
        assert 0 < left < right < 612
        assert 0 < bottom < top < 792


def test_lines_of_a_paragraph_end_with_a_space(written: Written) -> None:
    text = " ".join(texts(written.data)[0].split())
    assert "Cut 12 3/4 long, see the second page of it, and go on. Cut 12 3/4 long" in text
    assert text.count("the second page of it, and go on.") > 30


def test_a_list_label_comes_before_its_text(written: Written) -> None:
    assert "a Sharpen the saw." in " ".join(" ".join(texts(written.data)).split())


def test_a_paragraph_without_a_node_is_an_artifact() -> None:
    pdf = PdfWriter(SETTINGS)
    canvas = pdf.new_canvas(LETTER)
    paragraph = TaggedParagraph("Repeated heading", ParagraphStyle("s", fontName=font_name(Face.REGULAR)))
    paragraph.wrap(200, 100)
    paragraph.drawOn(canvas, 100, 100)
    with opened(canvas.finish().data) as document:
        assert list(marks(document.pages[0])) == [("/Artifact", None)]


def test_what_cannot_be_tagged_is_refused() -> None:
    pdf = PdfWriter(SETTINGS)
    canvas = pdf.new_canvas(LETTER)
    plain = ParagraphStyle("s", fontName=font_name(Face.REGULAR))
    with pytest.raises(ValueError, match="background"):
        TaggedParagraph("x", ParagraphStyle("b", parent=plain, backColor="red"), Node("P"))
    with pytest.raises(ValueError, match="underlined"):
        TaggedParagraph("<u>x</u>", plain, Node("P"))
    with pytest.raises(ValueError, match="bullet"):
        TaggedParagraph("x", plain, Node("LBody"), bulletText="a")
    with pytest.raises(ValueError, match="cannot see"):
        canvas.draw_figure(Figure(10, 10, ()), 0, 0, pdf.tags.add("Figure"))
    with pytest.raises(ValueError, match="structure type"):
        pdf.tags.add("Paragraph")
    with canvas.artifact(), pytest.raises(ValueError, match="each other"):
        canvas.write(0, 0, "x", node=pdf.tags.add("P"))


def test_a_second_canvas_starts_anew() -> None:
    pdf = PdfWriter(SETTINGS)
    style = ParagraphStyle("s", fontName=font_name(Face.REGULAR))
    paragraph = TaggedParagraph("Text with <a href='#top'>a link</a> in it", style, pdf.tags.add("P"))
    figure = pdf.tags.add("Figure")
    written = []
    for _ in range(2):
        canvas = pdf.new_canvas(LETTER)
        canvas.bookmark("top")
        paragraph.wrap(200, 100)
        paragraph.drawOn(canvas, 100, 100)
        canvas.draw_figure(FIGURE, 100, 200, figure)
        written.append(canvas.finish().data)
    assert written[0] == written[1]
    assert failed_rules(written[1]) == []

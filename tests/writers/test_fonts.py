"""The type family: signs, measures and stacked fractions, read back and drawn by pdfium."""

from __future__ import annotations

import io
from typing import Any

import numpy as np
import pikepdf
import pypdfium2
import pytest
from reportlab.lib.styles import ParagraphStyle
from reportlab.pdfbase import pdfmetrics
from reportlab.platypus.paragraph import Paragraph

from planpress.base.display import Face, Figure, Text, TypeMeasure
from planpress.base.lettering import FRACTIONS, fraction_sign, plain
from planpress.writers.pdf.fonts import Metrics, font, font_name, missing
from planpress.writers.pdf.writing import PdfWriter
from tests.writers.reading import characters, elements, opened, texts
from tests.writers.sample import LETTER, SETTINGS, drawn

SIGNS = "−×°≈☐✓→′″⁄⌀∅…–—≥≤½±•‑µ"


@pytest.mark.parametrize("face", Face)
def test_every_face_has_the_signs_plans_use_and_all_fractions(face: Face) -> None:
    every = "".join(fraction_sign(n, d, after) for n, d in FRACTIONS for after in (True, False))
    assert missing(SIGNS + every, face) == ""


def test_missing_names_each_sign_once_in_order() -> None:
    assert missing("a漢b✗漢 ", Face.REGULAR) == "漢✗"


@pytest.mark.parametrize("face", Face)
def test_figures_are_tabular(face: Face) -> None:
    widths = {round(Metrics().width(digit, face, 10), 9) for digit in "0123456789"}
    assert len(widths) == 1


def test_measure_is_where_pdfium_puts_the_next_letter() -> None:
    measure: TypeMeasure = Metrics()
    for face in Face:
        text = "Slat 12" + fraction_sign(11, 16, after_whole=True) + " long"
        letters = characters(drawn(Figure(200, 50, (Text((10, 10), text + "|", face, 17),))))
        # "11" and "16" come from one glyph, so the bar is found from the end
        bar, x, _ = next(letter for letter in reversed(letters) if letter[0] == "|")
        assert bar == "|"
        assert x - 10 == pytest.approx(measure.width(text, face, 17), abs=0.01)


def test_measure_agrees_with_reportlab() -> None:
    text = "Board 3, 12" + fraction_sign(3, 4, after_whole=True)
    points = pdfmetrics.stringWidth(text, font_name(Face.SEMIBOLD), 9.5)
    assert Metrics().width(text, Face.SEMIBOLD, 9.5) == pytest.approx(points * 25.4 / 72)


@pytest.mark.parametrize("face", Face)
def test_all_fractions_are_read_as_text(face: Face) -> None:
    lines = [
        f"1{fraction_sign(n, d, after_whole=True)} = {fraction_sign(n, d, after_whole=False)}." for n, d in FRACTIONS
    ]
    items = tuple(Text((10, 250 - 3.8 * i), text, face, 9) for i, text in enumerate(lines))
    (read,) = texts(drawn(Figure(200, 260, items)))
    assert [line.strip() for line in read.splitlines()] == [plain(line) for line in lines]
    assert plain(lines[2]) == "1 3/4 = 3/4."


def _ink(text: str, face: Face, size: float) -> np.ndarray[Any, np.dtype[np.bool_]]:
    """Where the ink of a text is, in a picture of 10 pixels a point whose row 0 is 300 points below its baseline."""
    pdf = PdfWriter(SETTINGS)
    canvas = pdf.new_canvas((600, 800))
    canvas.write(100, 300, text, face, size)
    with pypdfium2.PdfDocument(canvas.finish().data) as document:
        picture = document[0].render(scale=10, grayscale=True).to_numpy()
    ink: np.ndarray[Any, np.dtype[np.bool_]] = picture.reshape(8000, 6000)[::-1] < 128
    return ink


def test_a_fraction_has_the_proportions_of_the_house_style() -> None:
    # house style: rises 0.89 em and falls 0.24 em, a level bar 0.055 em thick, its middle 0.325 em above the baseline
    ink = _ink(fraction_sign(3, 8, after_whole=False), Face.REGULAR, 100)
    rows = np.flatnonzero(ink.any(axis=1)) / 1000 - 3
    assert rows[0] == pytest.approx(-0.24, abs=0.01)
    assert rows[-1] == pytest.approx(0.89, abs=0.01)
    lengths = ink.sum(axis=1)
    bar = np.flatnonzero(lengths > 0.9 * lengths.max()) / 1000 - 3
    assert len(bar) / 1000 == pytest.approx(0.055, abs=0.003)
    assert bar.mean() == pytest.approx(0.325, abs=0.003)


def test_the_bar_of_every_fraction_keeps_clear_of_its_numerals() -> None:
    pdf = PdfWriter(SETTINGS)
    canvas = pdf.new_canvas((700, 600))
    for i, (n, d) in enumerate(FRACTIONS):
        canvas.write(20 + i % 9 * 70, 30 + i // 9 * 80, fraction_sign(n, d, after_whole=False), Face.SEMIBOLD, 40)
    with pypdfium2.PdfDocument(canvas.finish().data) as document:
        picture = document[0].render(scale=4, grayscale=True).to_numpy().reshape(2400, 2800)[::-1] < 128
    for i, (n, d) in enumerate(FRACTIONS):
        x, y = 20 + i % 9 * 70, 30 + i // 9 * 80
        rows = picture[(y - 20) * 4 : (y + 55) * 4, (x - 5) * 4 : (x + 60) * 4].any(axis=1)
        edges = np.flatnonzero(np.diff(rows.astype(int)))
        assert len(edges) == 6, f"{n}/{d} is not numeral, bar, numeral"


def test_a_fraction_after_a_whole_number_stands_off_it() -> None:
    columns = _ink(fraction_sign(1, 2, after_whole=True), Face.REGULAR, 100).any(axis=0)
    assert np.flatnonzero(columns)[0] / 1000 - 1 == pytest.approx(0.08, abs=0.003)


def test_only_our_faces_are_in_the_file_and_all_are_embedded() -> None:
    texts_ = tuple(Text((10, 20 + 10 * i), "Slat", face) for i, face in enumerate(Face))
    with opened(drawn(Figure(100, 100, texts_))) as document:
        fonts = [
            thing
            for thing in document.objects
            if isinstance(thing, pikepdf.Dictionary) and thing.get("/Type") == "/Font"
        ]
        names = sorted(str(one.BaseFont).split("+")[1] for one in fonts)
        assert names == ["SourceSansPro-It", "SourceSansPro-Light", "SourceSansPro-Regular", "SourceSansPro-Semibold"]
        for one in fonts:
            assert one.FontDescriptor.FontFile2.Length1 > 1000
            assert not int(one.FontDescriptor.Flags) & 1 << 18  # ISO 32000-1, table 123: ForceBold
        assert not any(b"Helvetica" in thing.unparse() for thing in document.objects)
        assert len(list(elements(document.Root.StructTreeRoot.K))) == 1


def test_a_sign_that_a_face_lacks_is_refused() -> None:
    canvas = PdfWriter(SETTINGS).new_canvas(LETTER)
    with pytest.raises(ValueError, match=r"lacks '漢' \(U\+6F22\)"):
        canvas.write(10, 10, "a 漢")


def test_bold_and_italic_words_of_a_paragraph() -> None:
    for face in Face:
        style = ParagraphStyle("style", fontName=font_name(face))
        paragraph = Paragraph("a <b>b</b> <i>c</i> <b><i>d</i></b>", style)
        upright, bold, italic = font_name(face), font_name(Face.SEMIBOLD), font_name(Face.ITALIC)
        names = {fragment.text.strip(): fragment.fontName for fragment in paragraph.frags}
        assert (names["a"], names["b"], names["d"]) == (upright, bold, bold)
        assert names["c"] == (bold if face is Face.SEMIBOLD else italic)


def test_a_face_is_read_once() -> None:
    assert font(Face.LIGHT) is font(Face.LIGHT)
    assert font(Face.LIGHT).face is font(Face.LIGHT).face
    assert pdfmetrics.getFont(font_name(Face.LIGHT)) is font(Face.LIGHT)


def test_texts_of_more_than_one_subset() -> None:
    letters = "".join(chr(c) for c in range(0x21, 0x180) if not missing(chr(c)))
    assert len(letters) > 256
    pdf = PdfWriter(SETTINGS)
    canvas = pdf.new_canvas(LETTER)
    for i in range(0, len(letters), 40):
        canvas.write(20, 700 - i, letters[i : i + 40])
    data = canvas.finish().data
    assert "".join("".join(texts(data)).split()).replace("\ufffe", "-") == "".join(letters.split())
    with pikepdf.open(io.BytesIO(data)) as document:
        assert len(document.pages[0].Resources.Font) == 2

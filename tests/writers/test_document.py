"""The file around the pages: identity, metadata, preferences, labels, and equal bytes everywhere."""

from __future__ import annotations

import os
import subprocess
import sys
from datetime import date
from pathlib import Path
from typing import Any

import pikepdf
import pytest
from attrs import evolve

from planpress.base.display import Figure, Pen, line
from planpress.writers.pdf.document import DocumentSettings
from planpress.writers.pdf.elements import text_string
from planpress.writers.pdf.writing import PdfWriter
from tests.writers.reading import opened
from tests.writers.sample import LETTER, SETTINGS, drawn, sample

ROOT = Path(__file__).parents[2]


def _digest(**environment: str) -> str:
    """The sample's sha256 from a new process with the given environment."""
    kept = {name: value for name, value in os.environ.items() if name in ("PATH", "HOME", "SYSTEMROOT")}
    done = subprocess.run(
        [sys.executable, "-m", "tests.writers.sample"],
        cwd=ROOT,
        env=kept | {"PYTHONDONTWRITEBYTECODE": "1"} | environment,
        capture_output=True,
        text=True,
        check=True,
    )
    return done.stdout.strip()


def test_new_processes_write_equal_bytes() -> None:
    plain = _digest(PYTHONHASHSEED="0")
    assert len(plain) == 64
    assert _digest(PYTHONHASHSEED="1", TZ="Asia/Tokyo", LC_ALL="C", SOURCE_DATE_EPOCH="86400") == plain
    assert _digest(PYTHONHASHSEED="2", RL_useA85="1", RL_pageCompression="1", RL_pdfMultiLine="1") == plain


def test_twice_in_one_process() -> None:
    assert sample().data == sample().data


def test_the_identity_follows_the_content() -> None:
    one, other = (drawn(Figure(10, 10, (line((0, 0), (x, 0), Pen(0.5)),))) for x in (5, 6))
    with opened(one) as first, opened(other) as second:
        assert first.trailer.ID[0] == first.trailer.ID[1]
        assert len(bytes(first.trailer.ID[0])) == 16
        assert bytes(first.trailer.ID[0]) != bytes(second.trailer.ID[0])


def test_what_the_document_says_of_itself() -> None:
    with opened(sample().data) as document:
        info: Any = document.docinfo
        assert str(info["/Title"]) == "Stand – a plan"
        assert str(info["/Author"]) == "Demo Workshop"
        assert str(info["/CreationDate"]).startswith("D:20260512120000")
        assert str(document.Root.Lang) == "en-US"
        assert bool(document.Root.MarkInfo.Marked)
        with document.open_metadata() as metadata:
            assert metadata["dc:title"] == "Stand – a plan"
            assert metadata["pdfuaid:part"] == "1"
            assert metadata["xmp:CreateDate"] == "2026-05-12T12:00:00Z"
            assert metadata["dc:creator"] == ["Demo Workshop"]
        assert document.pdf_version == "1.7"


def test_what_printers_and_viewers_are_told() -> None:
    with opened(sample().data) as document:
        wishes = document.Root.ViewerPreferences
        assert str(wishes.PrintScaling) == "/None"
        assert [str(name) for name in wishes.Enforce] == ["/PrintScaling"]
        assert str(wishes.Duplex) == "/Simplex"
        assert bool(wishes.PickTrayByPDFSize)
        assert bool(wishes.DisplayDocTitle)
        assert all(str(page.Tabs) == "/S" for page in document.pages)


def test_pages_have_the_labels_printed_on_them() -> None:
    with opened(sample().data) as document:
        assert [page.label for page in document.pages][:2] == ["cover", "2"]


def test_pages_without_a_label_are_counted() -> None:
    pdf = PdfWriter(SETTINGS)
    canvas = pdf.new_canvas(LETTER)
    for label in ("cover", "", "T1"):
        if label:
            canvas.label_page(label)
        canvas.write(10, 10, "x")
        canvas.showPage()
    with opened(canvas.finish().data) as document:
        assert [page.label for page in document.pages] == ["cover", "2", "T1"]


def test_pages_of_different_sizes() -> None:
    pdf = PdfWriter(SETTINGS)
    canvas = pdf.new_canvas(LETTER)
    canvas.write(10, 10, "x")
    canvas.showPage()
    canvas.setPageSize((2591.0, 8504.0))
    canvas.write(10, 10, "x")
    with opened(canvas.finish().data) as document:
        assert [[float(v) for v in page.MediaBox] for page in document.pages] == [[0, 0, *LETTER], [0, 0, 2591, 8504]]


def test_bookmarks_make_the_outline() -> None:
    with opened(sample().data) as document, document.open_outline() as outline:
        assert [item.title for item in outline.root][:2] == ["Page 1", "Page 2"]


def test_most_objects_are_in_object_streams() -> None:
    data = sample().data
    with opened(data) as document:
        streams = [one for one in document.objects if isinstance(one, pikepdf.Stream)]
        assert data.count(b" 0 obj") < len(streams) + 5 < len(list(document.objects))


def test_texts_of_metadata_are_escaped() -> None:
    settings = evolve(SETTINGS, title="A <b> & (c) \\ d", subject="漢字")
    canvas = PdfWriter(settings).new_canvas(LETTER)
    canvas.write(10, 10, "x")
    with opened(canvas.finish().data) as document:
        assert str(document.docinfo["/Title"]) == "A <b> & (c) \\ d"
        assert str(document.docinfo["/Subject"]) == "漢字"
        with document.open_metadata() as metadata:
            assert metadata["dc:title"] == "A <b> & (c) \\ d"
            assert metadata["dc:description"] == "漢字"


@pytest.mark.parametrize("text", ["plain", "a (b) \\ c", "½ – 漢", "two\nlines"])
def test_text_strings_are_read_back(text: str) -> None:
    assert str(pikepdf.Object.parse(text_string(text))) == text


def test_an_unfinished_document_has_no_bytes() -> None:
    pdf = PdfWriter(DocumentSettings("x", date(2026, 1, 1)))
    with pytest.raises(ValueError, match="nothing has been drawn"):
        pdf.written()
    pdf.new_canvas(LETTER)
    with pytest.raises(ValueError, match="not finished"):
        pdf.written()

"""Personal copies: the edition's bytes untouched, a drawn stamp, a file that every reader accepts."""

from __future__ import annotations

import hashlib

import numpy as np
import pikepdf
import pypdfium2
import pytest

from planpress.writers.pdf.document import Written
from planpress.writers.pdf.stamp import StampPlace, stamped
from planpress.writers.pdf.writing import PdfWriter
from tests.writers.reading import opened, texts
from tests.writers.sample import LETTER, SETTINGS, sample

BAR = b"0 g 0 0 100 9 re f"


@pytest.fixture(scope="module", name="edition")
def _edition() -> Written:
    return sample()


def place_of(edition: Written) -> StampPlace:
    assert edition.place is not None
    return edition.place


def test_the_record_says_where_things_are(edition: Written) -> None:
    place = place_of(edition)
    assert place.length == len(edition.data)
    assert place.sha256 == hashlib.sha256(edition.data).hexdigest()
    assert edition.data[place.startxref :].split(b"\n")[0].endswith(b" 0 obj")
    with opened(edition.data) as document:
        stamp = document.get_object(place.object_number, 0)
        assert stamp.Subtype == "/Form"
        assert stamp.read_bytes() == b""
        assert int(document.trailer.Size) == place.size
        assert document.Root.objgen == (place.root, 0)
        assert document.docinfo.objgen == (place.info, 0)
        assert bytes(document.trailer.ID[0]).hex() == place.first_id


def test_a_copy_begins_with_the_edition(edition: Written) -> None:
    place = place_of(edition)
    copy = stamped(edition.data, place, BAR)
    assert copy.startswith(edition.data)
    assert len(copy) - len(edition.data) < 600 + len(BAR)
    assert place.is_of(copy)
    assert not place.is_of(b"x" + copy[1:])


def test_a_copy_opens_without_a_warning_and_reads_the_same(edition: Written) -> None:
    copy = stamped(edition.data, place_of(edition), BAR)
    with opened(copy) as document:
        assert document.get_object(place_of(edition).object_number, 0).read_bytes() == BAR
        first, second = (bytes(half) for half in document.trailer.ID)
        assert first.hex() == place_of(edition).first_id
        assert second != first
    assert texts(copy) == texts(edition.data)


def _dark(pdf: bytes, page: int) -> int:
    """How many pixels of the stamp's rectangle (200 to 300, 40 to 49 points, as the sample places it) are black."""
    with pypdfium2.PdfDocument(pdf) as document:
        picture = np.asarray(document[page].render(scale=1, grayscale=True).to_numpy()).reshape(792, 612)
    return int((picture[792 - 49 : 792 - 40, 200:300] < 10).sum())


def test_the_stamp_is_drawn_on_every_page(edition: Written) -> None:
    copy = stamped(edition.data, place_of(edition), BAR)
    assert [_dark(edition.data, page) for page in (0, 1)] == [0, 0]
    assert [_dark(copy, page) for page in (0, 1)] == [900, 900]


def test_copies_are_reproducible_and_different(edition: Written) -> None:
    place = place_of(edition)
    one = stamped(edition.data, place, BAR)
    assert stamped(edition.data, place, BAR) == one
    with opened(one) as first, opened(stamped(edition.data, place, BAR + b" ")) as other:
        assert bytes(first.trailer.ID[1]) != bytes(other.trailer.ID[1])


def test_another_edition_is_refused(edition: Written) -> None:
    with pytest.raises(ValueError, match="its record says"):
        stamped(edition.data + b"\n", place_of(edition), BAR)


def test_a_document_without_a_place_has_no_record() -> None:
    canvas = PdfWriter(SETTINGS).new_canvas(LETTER)
    canvas.write(10, 10, "x")
    written = canvas.finish()
    assert written.place is None
    with opened(written.data) as document:
        assert "/XObject" not in document.pages[0].get("/Resources", pikepdf.Dictionary())

"""Editions built once for all tests that read them."""

from __future__ import annotations

import atexit
import functools
import shutil
import tempfile
from pathlib import Path

import pypdfium2

from planpress.app.plan import Built, load
from tests.plans import ROOT

DEMO = ROOT / "projects" / "seedling-stand"
#: The editions that the issue of the first plan set names: unit system, paper, settings.
EDITIONS: tuple[tuple[str, str, tuple[tuple[str, str], ...]], ...] = (
    ("imperial", "letter", ()),
    ("imperial", "letter", (("top_length", "52in"),)),
    ("imperial", "letter", (("slats", "13"),)),
    ("metric", "a4", ()),
    ("imperial", "a4", (("stick_thick", "0.71in"),)),
)


@functools.cache
def _folder() -> Path:
    """A folder for all editions of this process, removed at its end."""
    folder = tempfile.mkdtemp(prefix="planpress-test-")
    atexit.register(shutil.rmtree, folder, ignore_errors=True)
    return Path(folder)


@functools.cache
def built(units: str = "imperial", paper: str = "letter", settings: tuple[tuple[str, str], ...] = ()) -> Built:
    """The demo built in a folder of the test run."""
    (edition,) = load(DEMO).build(_folder(), units=units, paper=paper, settings=dict(settings))
    return edition


@functools.cache
def page_texts(pdf: Path) -> tuple[str, ...]:
    """The text of each page as pdfium reads it, white space made single."""
    document = pypdfium2.PdfDocument(pdf)
    try:
        return tuple(" ".join(page.get_textpage().get_text_range().split()) for page in document)
    finally:
        document.close()

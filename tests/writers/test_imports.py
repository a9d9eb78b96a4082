"""What of ReportLab is put off, and that it is all there when it is asked for."""

from __future__ import annotations

import re
import subprocess
import sys

import pytest
from reportlab.lib.rl_accel import instanceStringWidthTTF

from planpress.base.display import Face
from planpress.writers.pdf.fonts import font
from planpress.writers.pdf.imports import LatePattern, load_late


def _in_new_process(program: str) -> str:
    return subprocess.run([sys.executable, "-c", program], check=True, capture_output=True, text=True).stdout


def test_pages_load_no_image_library_and_no_shaper() -> None:
    program = (
        "import planpress.pages, sys; print([m for m in ('PIL._imaging', 'uharfbuzz._harfbuzz') if m in sys.modules])"
    )
    assert _in_new_process(program).strip() == "[]"


def test_what_was_put_off_works_for_others() -> None:
    program = """
import re
compile_before = re.compile
import planpress.pages
from PIL import Image
from reportlab.lib import utils
from reportlab.platypus import paragraph
assert re.compile is compile_before
assert utils.Image.new('RGB', (3, 2)).size == Image.new('RGB', (3, 2)).size == (3, 2)
print(bool(paragraph.uri_pat.match('https://example.org/a')), bool(paragraph.uri_pat.match('no address')))
"""
    assert _in_new_process(program).split() == ["True", "False"]


def test_what_is_loaded_already_stays() -> None:
    before = sys.modules["re"]
    load_late("re")
    assert sys.modules["re"] is before


def test_a_module_that_is_not_there_is_no_fault() -> None:
    load_late("planpress_without_such_a_module")
    load_late("planpress_without_such_a_package.part")
    assert not [name for name in sys.modules if name.startswith("planpress_without")]


def test_a_late_pattern_is_the_pattern() -> None:
    late, whole = LatePattern(r"(a+)b", re.IGNORECASE), re.compile(r"(a+)b", re.IGNORECASE)
    assert late.sub("-", "xAABy") == whole.sub("-", "xAABy") == "x-y"
    assert (late.pattern, late.flags, late.groups) == (whole.pattern, whole.flags, whole.groups)


@pytest.mark.parametrize("text", ["", "Rip two boards", "1\u00a03/4 × 2", "12\ue000", "\u4e00"])
def test_widths_are_those_that_reportlab_reckons(text: str) -> None:
    one = font(Face.REGULAR)
    for size in (9.0, 10.5, 20.0):
        expected = instanceStringWidthTTF(one, text, size)
        assert one.stringWidth(text, size) == expected
        assert one.stringWidth(text, size) == expected  # now from what is kept
        assert one.stringWidth(text.encode(), size) == expected

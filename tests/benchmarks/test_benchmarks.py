"""The harness itself: a recording holds the pages, the table says what was measured. No time is asserted."""

from __future__ import annotations

import functools
import json
import re
from io import StringIO
from pathlib import Path

import numpy as np
import pypdfium2
import pytest
from numpy.typing import NDArray
from reportlab.pdfgen.canvas import Canvas
from rich.console import Console

from planpress.base.edition import Edition
from planpress.base.printing import Units
from planpress.description.reader import read_description
from planpress.model.solids import Solids
from planpress.model.solve import solve
from planpress.pages import compose
from tests.benchmarks.harness import Row, rows, table
from tests.benchmarks.recording import record, replay
from tests.benchmarks.stages import BEARERS, PIECES, STAGES, TIER, lattice, measured, rack
from tests.pages.sets import texts
from tests.plans import HEAD, small_plan

CROSS = """
materials:
  stick: {form: board, species: white oak, thickness: 20 mm, width: 40 mm}
parts:
  upper:
    material: stick
    length: 400 mm
    place: {corner: [0 mm, 90 mm, 0 mm], length: +x, width: +z}
  lower:
    material: stick
    length: 300 mm
    place: {corner: [150 mm, -50 mm, 0 mm], length: +y, width: +z}
joints:
  lap: {kind: cross lap, between: [upper, lower], glue: true}
"""


@functools.cache
def pages_of_cross() -> bytes:
    """The plan set of two sticks that cross."""
    plan = small_plan(CROSS, Units.METRIC)
    return compose(plan, Edition(Units.METRIC, "a4", ""), Solids(plan), texts()).pdf


def replayed(pdf: bytes, folder: Path) -> bytes:
    """The pages recorded, saved, and written again."""
    file = folder / "replay.pdf"
    replay(json.loads(json.dumps(record(pdf))), str(file))
    return file.read_bytes()


def page_texts(pdf: bytes) -> list[str]:
    """The text of each page as pdfium reads it, without white space."""
    with pypdfium2.PdfDocument(pdf) as document:
        return [re.sub(r"\s+", "", page.get_textpage().get_text_range()) for page in document]


def darkness(pdf: bytes) -> list[NDArray[np.float64]]:
    """Each page as picture of 36 dpi: 0 white, 1 black."""
    with pypdfium2.PdfDocument(pdf) as document:
        return [1 - page.render(scale=0.5, grayscale=True).to_numpy().squeeze() / 255.0 for page in document]


def test_the_replayed_pages_have_the_texts_of_the_plan(tmp_path: Path) -> None:
    original = page_texts(pages_of_cross())
    assert len(original) > 5
    assert all(original)
    assert page_texts(replayed(pages_of_cross(), tmp_path)) == original


def test_the_replayed_pages_look_like_those_of_the_plan(tmp_path: Path) -> None:
    pairs = zip(darkness(pages_of_cross()), darkness(replayed(pages_of_cross(), tmp_path)), strict=True)
    for original, again in pairs:
        assert original.shape == again.shape
        assert abs(original - again).sum() < 0.02 * original.sum()


def test_a_recording_keeps_to_known_faces(tmp_path: Path) -> None:
    foreign = tmp_path / "foreign.pdf"
    canvas = Canvas(str(foreign))
    canvas.drawString(72, 72, "set in one of the standard faces")
    canvas.save()
    with pytest.raises(ValueError, match="Helvetica"):
        record(foreign.read_bytes())


@pytest.mark.parametrize("pieces", PIECES[:2])
def test_the_lattice_has_the_pieces_it_is_named_for(pieces: int) -> None:
    plan = solve(lattice(pieces), Units.METRIC, "", {})
    assert len(plan.pieces) == pieces
    slat, bearer = plan.parts
    assert len(slat.notches) == BEARERS
    assert len(bearer.notches) == pieces - BEARERS


@pytest.mark.parametrize("pieces", PIECES[:2])
def test_the_rack_has_the_pieces_it_is_named_for(pieces: int) -> None:
    plan = solve(rack(pieces), Units.METRIC, "", {})
    assert len(plan.pieces) == pieces
    slat, bearer = plan.parts
    assert (slat.count, bearer.count) == (pieces * 3 // 4, pieces // 4)
    assert (len(slat.notches), len(bearer.notches)) == (BEARERS, TIER - BEARERS)


def test_every_stage_of_a_small_plan_is_measured() -> None:
    seconds = measured(lattice(BEARERS + 1))
    assert tuple(seconds) == STAGES
    assert all(value > 0 for value in seconds.values())
    assert set(measured(lattice(BEARERS + 1), is_composed=False)) == {"solve", "check"}


def test_a_plan_with_an_error_is_not_measured() -> None:
    faulty = read_description(HEAD + CROSS.partition("joints:")[0], "faulty.yaml")  # the sticks run through each other
    with pytest.raises(ValueError, match="the measured plan has an error"):
        measured(faulty)


#: Made-up seconds of three runs.
TIMES = {
    "build": [1.0, 1.5, 1.25],
    "replay": [0.5, 0.5, 0.625],
    "build two": [2.0, 2.25, 2.0],
    "help": [0.5, 0.25, 0.5],
    "pass": [0.015, 0.016, 0.02],
    "import typer": [0.2, 0.25, 0.25],
    "demo solve": [0.04, 0.05, 0.06],
    "demo check": [0.2, 0.3, 0.4],
    "demo compose": [2.0, 2.0, 2.0],
    **{f"lattice {pieces} {stage}": [pieces / 200] * 3 for pieces in PIECES for stage in ("solve", "check")},
    **{f"rack {pieces} {stage}": [pieces**2 / 800] * 3 for pieces in PIECES for stage in STAGES},
}


def rendered(lines: list[Row]) -> list[str]:
    """The table's lines of text."""
    console = Console(width=160, record=True, file=StringIO())
    console.print(table(lines, "made up"))
    return console.export_text().splitlines()


def line_with(lines: list[str], words: str) -> str:
    """The one line that begins with the words, white space made single."""
    (found,) = (line for line in (" ".join(line.split()) for line in lines) if line.strip("│ ").startswith(words))
    return found


def test_the_table_of_made_up_times() -> None:
    lines = rendered(rows(TIMES))
    build, replayed_pages = "1.25 (1.00-1.50) s", "ReportLab alone, same pages: 0.50 (0.50-0.62) s"
    expected = f"│ build the demo │ {build} │ {replayed_pages} │ 2.50 │ 3x, 2 s │ kept │"
    assert line_with(lines, "build the demo") == expected
    # 1.0, 0.75 and 0.75: the difference is taken run by run
    assert "│ 0.75 (0.75-1.00) s │" in line_with(lines, "one more edition")
    assert line_with(lines, "planpress --help │ 0.50 (0.25-0.50) s │ python -c pass").endswith(
        "│ 31.25 │ 0.25 s │ MISSED │"
    )
    assert "typer': 0.25 (0.20-0.25) s │ 2.00 │" in line_with(
        lines, "planpress --help │ 0.50 (0.25-0.50) s │ python -c 'i"
    )
    # a cost in proportion to the pieces has the ratio 1; one in proportion to their square is found out
    assert "20 pieces × 15: 3.00 (3.00-3.00) s │ 1.00 │" in line_with(lines, "solve and check a lattice of 300")
    assert line_with(lines, "solve, check and compose a rack of 20").endswith("│ 1.00 │ │ │")
    assert line_with(lines, "solve, check and compose a rack of 300").endswith("│ 15.00 │ 1.5x │ MISSED │")
    assert line_with(lines, "... of which check").endswith(
        "│ 112.50 (112.50-112.50) s │ 20 pieces × 15: 7.50 (7.50-7.50) s │ 15.00 │ │ │"
    )
    assert line_with(lines, "solve the demo").startswith("│ solve the demo │ 50.0 (40.0-60.0) ms │ compose the demo")


@pytest.mark.parametrize(
    ("most_seconds", "most_ratio", "kept"),
    [(2.0, 4.0, True), (1.9, 4.0, False), (2.0, 3.9, False), (None, 4.0, True), (1.9, None, False), (None, None, None)],
)
def test_a_budget_is_kept_if_all_of_it_is(
    most_seconds: float | None, most_ratio: float | None, kept: bool | None
) -> None:
    row = Row("made up", [1.0, 2.0, 9.0], "half", [0.5, 0.5, 0.5], most_seconds, most_ratio)
    assert row.ratio == 4
    assert row.is_kept is kept

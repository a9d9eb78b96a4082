"""What programs read of an edition: every cell of `parts.csv`, and the settings in `edition.json`."""

from __future__ import annotations

import csv
import json
from collections.abc import Sequence
from fractions import Fraction
from pathlib import Path

import pytest

import planpress
from planpress.base.printing import Units
from planpress.base.quantities import INCH
from tests.app.builds import EDITIONS, built
from tests.plans import HEAD, solved_stand

Settings = tuple[tuple[str, str], ...]


def cell(size: Fraction, units: str) -> float:
    """A size as the file gives it: to 0.0001 in or 0.001 mm."""
    return round(float(size), 3) if units == "metric" else round(float(size / INCH), 4)


@pytest.mark.parametrize(("units", "paper", "settings"), EDITIONS)
def test_every_cell_of_the_parts_list_equals_the_model(units: str, paper: str, settings: Settings) -> None:
    plan = solved_stand(Units(units), "", **dict(settings))
    with (built(units, paper, settings).folder / "parts.csv").open(encoding="utf-8-sig", newline="") as file:
        header, *rows = csv.reader(file)
    unit = "mm" if units == "metric" else "in"
    sizes = [f"{name} {unit}" for name in ("thickness", "width", "length")]
    assert header == ["letter", "name", "number", *sizes, "material"]
    expected: list[tuple[str, str, int, Sequence[Fraction | None], str]] = [
        *((p.letter, p.label, p.count, [p.thickness, p.width, p.length], p.material.label) for p in plan.parts),
        *((f.letter, f.label, f.count, [f.diameter, None, f.length], f.material) for f in plan.fasteners),
    ]
    assert len(plan.fasteners) > 0
    for row, (letter, label, count, measures, material) in zip(rows, expected, strict=True):
        assert [*row[:3], row[6]] == [letter, label, str(count), material]
        for text, size in zip(row[3:6], measures, strict=True):
            assert (text == "") if size is None else (float(text) == pytest.approx(cell(size, units), abs=1e-9))


@pytest.mark.parametrize(("units", "paper", "settings"), EDITIONS)
def test_settings_are_recorded_as_they_were_given(units: str, paper: str, settings: Settings) -> None:
    record = json.loads((built(units, paper, settings).folder / "edition.json").read_text(encoding="utf-8"))
    assert record["settings"] == dict(settings)
    assert (record["units"], record["paper"]) == (units, paper)
    values = solved_stand(Units(units), "", **dict(settings)).values
    assert Fraction(record["values"]["top_length"].removesuffix(" mm")) == values["top_length"].value
    assert Fraction(record["values"]["slats"]) == values["slats"].value


NAMED_LIKE_OPTIONS = """\
parameters:
  size:  {value: 400 mm}
  paper: {value: 300 mm}
  units: {value: 1}
  out:   {value: 50 mm}
  jobs:  {value: 150 mm}
materials:
  stick: {form: board, species: white oak, thickness: 20 mm, width: 40 mm}
parts:
  upper:
    material: stick
    length: size * units
    place: {corner: [0 mm, 90 mm, 0 mm], length: +x, width: +z}
  lower:
    material: stick
    length: paper
    place: {corner: [jobs, -out, 0 mm], length: +y, width: +z}
joints:
  lap: {kind: cross lap, between: [upper, lower], glue: true}
"""


def test_parameters_may_be_named_like_options(tmp_path: Path) -> None:
    file = tmp_path / "cross" / "plan.yaml"
    file.parent.mkdir()
    file.write_text(HEAD + NAMED_LIKE_OPTIONS, encoding="utf-8")
    settings = {"size": "500 mm", "paper": "350 mm", "units": "1", "out": "60 mm", "jobs": "140 mm"}
    plan = planpress.load(file)
    solved = plan.solve("metric", settings=settings)
    assert [solved.part(letter).length for letter in ("A", "B")] == [500, 350]
    (edition,) = plan.build(tmp_path / "build", units="metric", settings=settings)
    record = json.loads((edition.folder / "edition.json").read_text(encoding="utf-8"))
    assert record["settings"] == settings
    assert [record[key] for key in ("units", "paper", "size")] == ["metric", "a4", ""]
    assert record["values"]["size"] == "500 mm"

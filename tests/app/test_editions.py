"""Editions on disk: whole or not at all, named, recorded, the same bytes every time."""

from __future__ import annotations

import csv
import hashlib
import json
import os
import re
import subprocess
import sys
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

import planpress
from planpress.app.editions import requests
from planpress.base.quantities import INCH
from tests.app.builds import DEMO, built
from tests.plans import ROOT, solved_stand


def test_an_edition_records_what_it_holds() -> None:
    edition = built()
    record = json.loads((edition.folder / "edition.json").read_text(encoding="utf-8"))
    on_disk = {p.name for p in edition.folder.iterdir()}
    assert on_disk == set(edition.files) == {"edition.json", "parts.csv", edition.plan_set.name}
    assert record["files"] == {name: digest(edition.folder / name) for name in sorted(on_disk - {"edition.json"})}
    values = solved_stand().values
    assert set(record["values"]) == set(values)
    assert record["values"]["top_length"] == "1016 mm"
    assert record["values"]["slats"] == "9"
    assert record["values"]["splay"] == "6 deg"
    assert Fraction(record["values"]["pitch"].removesuffix(" mm")) == values["pitch"].value
    assert [record[key] for key in ("plan", "edition", "units", "paper", "size", "settings", "planpress")] == [
        "seedling-stand",
        "imperial-letter",
        "imperial",
        "letter",
        "",
        {},
        planpress.__version__,
    ]
    assert record["stamp"]["length"] == edition.plan_set.stat().st_size
    assert record["pages"] == edition.pages


def test_parts_as_csv_equal_the_model() -> None:
    text = (built().folder / "parts.csv").read_bytes().decode("utf-8-sig")
    rows = list(csv.DictReader(text.splitlines()))
    plan = solved_stand()
    assert [row["letter"] for row in rows] == [p.letter for p in plan.parts] + [f.letter for f in plan.fasteners]
    for row, part in zip(rows, plan.parts, strict=False):
        assert int(row["number"]) == part.count
        for name, size in (("thickness", part.thickness), ("width", part.width), ("length", part.length)):
            assert float(row[f"{name} in"]) == pytest.approx(float(size / INCH), abs=6e-5)


def folder(**settings: str) -> str:
    """What the folder of inches on letter is called with these settings."""
    return requests(settings=settings)[0].folder


def test_folders_are_named_after_what_was_asked_for() -> None:
    assert folder() == "imperial-letter"
    assert folder(top_length="52in") == "imperial-letter-top_length-52in"
    assert folder(slats="13", gap="0.5 in") == "imperial-letter-gap-0.5-in-slats-13"
    assert folder(gap="1 in", slats="13") == folder(slats="13", gap="1 in")
    with pytest.raises(ValueError, match="no paper 'a5'; known: letter, a4"):
        requests(papers=["a5"])
    with pytest.raises(ValueError, match="no unit system 'cubits'; known: imperial, metric"):
        requests(units=["cubits"])


def test_every_combination_once_in_the_order_given() -> None:
    names = [r.folder for r in requests(["metric", "imperial", "metric"], ["letter", "a4", "a4"], ["", "balcony"])]
    expected = [f"{u}-{p}{s}" for u in ("metric", "imperial") for p in ("letter", "a4") for s in ("", "-balcony")]
    assert names == expected
    assert [r.folder for r in requests(["imperial", "metric"])] == ["imperial-letter", "metric-a4"]


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ({"gap": "5/8 in"}, {"gap": "5-8 in"}),
        ({"lean": "5 deg"}, {"lean": "-5 deg"}),
        ({"lean": "5"}, {"lean": "+5"}),
        ({"gap": "1-1/2 in"}, {"gap": "11/2 in"}),
        ({"gap": "5' 3\""}, {"gap": "5\" 3'"}),
        ({"gap": "½ in"}, {"gap": "¼ in"}),
        ({"gap": "1 in"}, {"pag": "1 in"}),
        ({"a": "1", "b": "2"}, {"a": "1-b-2"}),
        ({f"name_{k}": "1234567 mm" for k in range(20)}, {f"name_{k}": f"123456{k // 19} mm" for k in range(20)}),
    ],
)
def test_different_settings_get_different_folders(one: dict[str, str], other: dict[str, str]) -> None:
    names = folder(**one), folder(**other)
    assert names[0] != names[1]
    for name in names:
        assert re.fullmatch(r"imperial-letter-[A-Za-z0-9_.-]{1,105}", name)  # safe on every file system


@given(st.dictionaries(st.from_regex(r"[a-z_]{1,8}", fullmatch=True), st.text(max_size=30), max_size=4))
def test_any_setting_gives_a_safe_folder(settings: dict[str, str]) -> None:
    name = folder(**settings)
    assert re.fullmatch(r"[A-Za-z0-9_.-]{1,120}", name)
    assert not name.startswith(".")
    assert name == folder(**dict(reversed(settings.items())))


def test_fresh_processes_write_the_same_bytes(tmp_path: Path) -> None:
    """Whatever the hash seed, time zone, folder, locale and number of processes."""
    digests = []
    for seed, zone, jobs, locale in (("0", "UTC", "1", "C"), ("4242", "Asia/Tokyo", "2", "C.UTF-8")):
        here = tmp_path / seed
        here.mkdir()
        environment = {**os.environ, "PYTHONHASHSEED": seed, "TZ": zone, "PYTHONPATH": str(ROOT), "LC_ALL": locale}
        command = [sys.executable, "-m", "planpress", "build", os.path.relpath(DEMO, here), "--jobs", jobs]
        subprocess.run(command, check=True, cwd=here, env=environment, capture_output=True)
        found = {str(p.relative_to(here)): digest(p) for p in sorted(here.rglob("*")) if p.is_file()}
        digests.append(found)
    assert digests[0] == digests[1]
    assert len(digests[0]) == 3
    # and the same again from this process, where the plan has another path
    same = {p.name: digest(p) for p in sorted(built().folder.iterdir())}
    assert same == {Path(name).name: found for name, found in digests[0].items()}


def digest(file: Path) -> str:
    """The sha256 of a file, in hexadecimal."""
    return hashlib.sha256(file.read_bytes()).hexdigest()


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (None, "no such file"),
        (b"\xff\xfetitle: x", "byte 1 is not UTF-8"),
        (b"title: caf\xe9\n", "byte 11 is not UTF-8"),
        (b"", "empty"),
        (b"# only a comment\n", "empty"),
        (b"title: \0\n", "U+0000"),
        (b"- a list\n", "does not hold a plan"),
    ],
)
def test_files_that_are_no_plan(tmp_path: Path, content: bytes | None, words: str) -> None:
    path = tmp_path / "plan.yaml"
    if content is not None:
        path.write_bytes(content)
    with pytest.raises(planpress.PlanFaults) as caught:
        planpress.load(path)
    assert words in str(caught.value)
    assert caught.value.diagnostics[0].place is not None


def test_a_plan_is_named_after_its_folder_or_file(tmp_path: Path) -> None:
    text = (DEMO / "plan.yaml").read_text(encoding="utf-8")
    (tmp_path / "bench.yaml").write_text(text, encoding="utf-8")
    assert planpress.load(tmp_path / "bench.yaml").name == "bench"
    assert planpress.load(DEMO).name == "seedling-stand"
    assert planpress.load(DEMO / "plan.yaml").solve(settings={"slats": "7"}).part("A").count == 7


def test_the_interface_from_python(tmp_path: Path) -> None:
    """As the README shows it."""
    plan = planpress.load(str(DEMO))
    assert plan.solve(settings={"top_length": "52 in"}).part("A").length == Fraction(6604, 5)
    assert plan.solve("metric").part("A").length == 1000
    assert plan.solve(size="balcony").part("A").length == 28 * INCH
    said: list[str] = []
    (edition,) = plan.build(tmp_path, units="metric", paper="a4", size="balcony", report=said.append)
    assert edition.folder == tmp_path / "seedling-stand" / "metric-a4-balcony"
    assert edition.plan_set == edition.folder / "seedling-stand-metric-a4-balcony.pdf"
    assert said == [f"metric-a4-balcony: {stage}" for stage in ("solving", "checking and drawing", "writing")]
    record = json.loads((edition.folder / "edition.json").read_text(encoding="utf-8"))
    assert (record["size"], record["values"]["slats"], record["values"]["height"]) == ("balcony", "7", "760 mm")
    with pytest.raises(planpress.PlanFaults, match="did you mean 'balcony'"):
        plan.build(tmp_path / "none", size="balcon")
    with pytest.raises(ValueError, match="known: letter, a4"):
        plan.build(tmp_path / "none", paper="a5")
    assert not (tmp_path / "none").exists()
    assert set(planpress.__all__) == {"Plan", "PlanFaults", "__version__", "load"}
    with pytest.raises(AttributeError, match="no attribute 'laod'"):
        _ = planpress.laod


def test_checking_reports_faults_and_doubts() -> None:
    plan = planpress.load(DEMO)
    assert {d.severity.value for d in plan.check()} == {"note"}
    assert [d.code for d in plan.check(settings={"slats": "5"})] == ["require"]

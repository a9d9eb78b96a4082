"""Editions on disk: whole or not at all, named, recorded, the same bytes every time."""

from __future__ import annotations

import csv
import hashlib
import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

import planpress
from planpress.app import files
from planpress.app.editions import requests
from planpress.base.quantities import INCH
from tests.app.builds import DEMO, built
from tests.plans import ROOT, solved_stand


def test_an_edition_records_what_it_holds() -> None:
    edition = built()
    record = json.loads((edition.folder / "edition.json").read_text(encoding="utf-8"))
    assert set(record["files"]) == {"parts.csv", edition.plan_set.name}
    for name, digest in record["files"].items():
        assert hashlib.sha256((edition.folder / name).read_bytes()).hexdigest() == digest
    assert record["values"]["top_length"] == "1016 mm"
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


def test_a_failure_in_the_middle_leaves_the_last_good_edition(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    target = tmp_path / "plan" / "edition"
    files.write_folder(target, {"a.txt": b"old", "b.txt": b"old"})
    real = Path.write_bytes

    def failing(self: Path, data: bytes) -> int:
        if self.name == "b.txt":
            raise OSError(28, "No space left on device", str(self))
        return real(self, data)

    monkeypatch.setattr(Path, "write_bytes", failing)
    with pytest.raises(OSError, match="No space"):
        files.write_folder(target, {"a.txt": b"new", "b.txt": b"new"})
    monkeypatch.undo()
    assert {p.name: p.read_bytes() for p in target.iterdir()} == {"a.txt": b"old", "b.txt": b"old"}
    assert [p.name for p in target.parent.iterdir()] == ["edition"]


def test_a_killed_run_is_mended_by_the_next(tmp_path: Path) -> None:
    target = tmp_path / "edition"
    left = tmp_path / ".edition.old-4711"  # what a run killed between its two renames leaves
    left.mkdir()
    (left / "a.txt").write_bytes(b"last good")
    with pytest.raises(TypeError):
        files.write_folder(target, {"a.txt": None})  # type: ignore[dict-item]
    assert (target / "a.txt").read_bytes() == b"last good"
    files.write_folder(target, {"a.txt": b"new"})
    assert (target / "a.txt").read_bytes() == b"new"
    assert [p.name for p in tmp_path.iterdir()] == ["edition"]


def test_folders_of_different_settings_differ() -> None:
    def folder(**settings: str) -> str:
        return requests(settings=settings)[0].folder

    assert folder() == "imperial-letter"
    assert folder(top_length="52in") == "imperial-letter-top_length-52in"
    assert folder(gap="5/8 in") != folder(gap="5-8 in")
    names = [r.folder for r in requests(["imperial", "metric"], ["letter", "a4"], ["", "balcony"])]
    assert len(set(names)) == 8
    assert len(folder(**{f"name_{k}": "1234567 mm" for k in range(20)})) < 120
    with pytest.raises(ValueError, match="no paper 'a5'; known: letter, a4"):
        requests(papers=["a5"])


def test_two_fresh_processes_write_the_same_bytes(tmp_path: Path) -> None:
    digests = []
    for seed, zone in (("0", "UTC"), ("4242", "Asia/Tokyo")):
        out = tmp_path / seed
        environment = {**os.environ, "PYTHONHASHSEED": seed, "TZ": zone, "PYTHONPATH": str(ROOT)}
        command = [sys.executable, "-m", "planpress", "build", str(DEMO), "--out", str(out)]
        subprocess.run(command, check=True, cwd=tmp_path, env=environment, capture_output=True)
        digests.append({p.name: hashlib.sha256(p.read_bytes()).hexdigest() for p in out.rglob("*") if p.is_file()})
    assert digests[0] == digests[1]
    assert len(digests[0]) == 3


@pytest.mark.parametrize(
    ("content", "words"),
    [(None, "no such file"), (b"\xff\xfetitle: x", "not UTF-8"), (b"", "")],
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


def test_checking_reports_faults_and_doubts() -> None:
    plan = planpress.load(DEMO)
    assert not [d for d in plan.check() if d.severity.value == "error"]
    assert [d.code for d in plan.check(settings={"slats": "5"})] == ["require"]


def test_work_ahead_in_a_child_gives_the_same_and_a_failing_child_is_made_good() -> None:
    script = """
import os, sys
from planpress.app.ahead import Ahead
here = os.getpid()
done = Ahead(lambda: (os.getpid() != here, list(range(5))), parallel=True)
assert done.is_elsewhere == hasattr(os, "fork")
assert done.result() == (done.result()[0], [0, 1, 2, 3, 4])
failing = Ahead(lambda: 1 // 0 if os.getpid() != here else "made here", parallel=True)
print(done.result()[0], failing.result(), Ahead(lambda: "late", parallel=False).result())
"""
    environment = {**os.environ, "PYTHONPATH": str(ROOT)}
    done = subprocess.run([sys.executable, "-c", script], env=environment, capture_output=True, text=True, check=True)
    assert done.stdout.split() == [str(hasattr(os, "fork")), "made", "here", "late"]

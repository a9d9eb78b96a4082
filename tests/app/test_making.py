"""Several editions made side by side: shared out, in order, all or none, the same bytes as one after the other."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from tests.app.builds import DEMO, built
from tests.plans import ROOT

#: Builds with a stand-in for the making of one edition, which says what process it ran in; faults where asked for.
SCRIPT = """
import json, os, sys
import planpress
from planpress.app.making import Made, Maker
from planpress.base.diagnostics import Diagnostic, PlanFaults, Severity

def edition(maker, request, drawn_beside, report):
    if request.folder in faulty:
        raise PlanFaults([Diagnostic("test", Severity.ERROR, request.folder)])
    if request.folder in broken and os.getpid() != here:
        raise RuntimeError("a process comes to grief")
    return Made({"it.pdf": json.dumps([os.getpid(), drawn_beside]).encode()}, 1, ())

folder, out, jobs, faulty, broken = json.loads(sys.argv[1])
here = os.getpid()
Maker._edition = edition
try:
    done = planpress.load(folder).build(out, units=("imperial", "metric"), paper=("letter", "a4"), jobs=jobs)
    print(json.dumps([here, [[one.folder.name, *json.loads(one.plan_set.read_text())] for one in done]]))
except PlanFaults as faults:
    print(json.dumps([here, str(faults)]))
"""
FOLDERS = ["imperial-letter", "imperial-a4", "metric-letter", "metric-a4"]


def run(out: Path, jobs: int, faulty: list[str] | None = None, broken: list[str] | None = None) -> tuple[int, Any]:
    """The process that builds, and [folder, process that made it, drawn beside] of each edition, or the faults."""
    given = json.dumps([str(DEMO), str(out), jobs, faulty or [], broken or []])
    command = [sys.executable, "-c", SCRIPT, given]
    environment = {**os.environ, "PYTHONPATH": str(ROOT)}
    done = subprocess.run(command, env=environment, capture_output=True, text=True, check=True)
    here, found = json.loads(done.stdout)
    return here, found


@pytest.mark.parametrize("jobs", [1, 2, 3, 4, 7, 8])
def test_no_more_processes_than_jobs(tmp_path: Path, jobs: int) -> None:
    here, found = run(tmp_path, jobs)
    assert [name for name, _, _ in found] == FOLDERS
    processes = {process for _, process, _ in found}
    assert here in processes
    forks = hasattr(os, "fork")
    assert len(processes) == (min(jobs, len(FOLDERS)) if forks else 1)
    drawn_beside = [beside for _, _, beside in found]
    assert drawn_beside == [jobs >= 8] * len(FOLDERS)  # a second process for each edition, or for none


@pytest.mark.parametrize("jobs", [1, 2, 3])
def test_faults_of_any_edition_stop_all(tmp_path: Path, jobs: int) -> None:
    """Those of the first in order are told, whichever process finds its own first."""
    for faulty in (FOLDERS[3:], FOLDERS[1:3], FOLDERS[2:]):
        _, found = run(tmp_path / "out", jobs, faulty)
        assert found == f"error: {faulty[0]} [test]"
        assert not (tmp_path / "out").exists()


def test_a_process_that_comes_to_grief_is_made_good(tmp_path: Path) -> None:
    here, found = run(tmp_path, 2, broken=["metric-a4"])
    assert [name for name, _, _ in found] == FOLDERS
    assert all(process == here for _, process, _ in found)


def test_side_by_side_the_same_bytes(tmp_path: Path) -> None:
    command = [sys.executable, "-m", "planpress", "build", str(DEMO), "--out", str(tmp_path), "--jobs", "2"]
    command += ["--units", "imperial", "--units", "metric"]
    subprocess.run(command, env={**os.environ, "PYTHONPATH": str(ROOT)}, check=True, capture_output=True)
    for alone in (built(), built("metric", "a4")):
        beside = tmp_path / "seedling-stand" / alone.folder.name
        assert sorted(p.name for p in beside.iterdir()) == sorted(alone.files)
        for name in alone.files:
            assert (beside / name).read_bytes() == (alone.folder / name).read_bytes(), name

"""Folders on disk appear whole or not at all, whatever happens while they are written."""

from __future__ import annotations

import errno
import os
import subprocess
import sys
from pathlib import Path

import pytest

import planpress
from planpress.app import files
from tests.app.builds import DEMO
from tests.plans import ROOT

OLD, NEW = {"a.txt": b"old", "b.txt": b"old", "gone.txt": b"old"}, {"a.txt": b"new", "b.txt": b"new"}


def content(folder: Path) -> dict[str, bytes]:
    """The files of a folder by name."""
    return {p.name: p.read_bytes() for p in sorted(folder.iterdir())}


def finished_process() -> int:
    """The number of a process that has ended."""
    done = subprocess.run(
        [sys.executable, "-c", "import os; print(os.getpid())"], capture_output=True, text=True, check=True
    )
    return int(done.stdout)


def fail_at(monkeypatch: pytest.MonkeyPatch, method: str, name: str) -> None:
    """Let a method of Path fail for paths of that name, as on a full disk."""
    real = getattr(Path, method)

    def failing(self: Path, *arguments: object) -> object:
        if self.name == name or any(isinstance(a, Path) and a.name == name for a in arguments):
            raise OSError(errno.ENOSPC, "No space left on device", str(self))
        return real(self, *arguments)

    monkeypatch.setattr(Path, method, failing)


def test_a_folder_is_replaced_as_a_whole(tmp_path: Path) -> None:
    target = tmp_path / "plan" / "edition"
    files.write_folder(target, OLD)
    assert content(target) == OLD
    files.write_folder(target, NEW)
    assert content(target) == NEW
    assert [p.name for p in target.parent.iterdir()] == ["edition"]


@pytest.mark.parametrize(
    ("method", "name"),
    [("write_bytes", "a.txt"), ("write_bytes", "b.txt"), ("rename", f".edition.new-{os.getpid()}")],
    ids=["at the first file", "in the middle", "between the two renames"],
)
def test_a_failure_leaves_the_last_good_edition(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, method: str, name: str
) -> None:
    target = tmp_path / "plan" / "edition"
    files.write_folder(target, OLD)
    with monkeypatch.context() as patch:
        fail_at(patch, method, name)
        with pytest.raises(OSError, match="No space"):
            files.write_folder(target, NEW)
    assert content(target) == OLD
    assert [p.name for p in target.parent.iterdir()] == ["edition"]


def test_a_failure_with_nothing_before_leaves_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    with monkeypatch.context() as patch:
        fail_at(patch, "write_bytes", "b.txt")
        with pytest.raises(OSError, match="No space"):
            files.write_folder(tmp_path / "plan" / "edition", NEW)
    assert list((tmp_path / "plan").iterdir()) == []


KILLED = """
import os, sys
from pathlib import Path
from planpress.app import files

real = getattr(Path, sys.argv[2])

def killed(self, *arguments):
    if self.name.startswith(sys.argv[3]):
        os._exit(9)
    return real(self, *arguments)

setattr(Path, sys.argv[2], killed)
files.write_folder(Path(sys.argv[1]), {"a.txt": b"new", "b.txt": b"new"})
"""


@pytest.mark.parametrize(
    ("method", "name"),
    [("write_bytes", "b.txt"), ("rename", ".edition.new-")],
    ids=["in the middle", "between the two renames"],
)
def test_a_killed_run_is_mended_by_the_next(tmp_path: Path, method: str, name: str) -> None:
    target = tmp_path / "edition"
    files.write_folder(target, OLD)
    command = [sys.executable, "-c", KILLED, str(target), method, name]
    assert subprocess.run(command, env={**os.environ, "PYTHONPATH": str(ROOT)}, check=False).returncode == 9
    assert [p for p in tmp_path.iterdir() if p != target]  # something was left
    with pytest.raises(TypeError):
        files.write_folder(target, {"a.txt": None})  # type: ignore[dict-item]
    assert content(target) == OLD
    assert [p.name for p in tmp_path.iterdir()] == ["edition"]
    files.write_folder(target, NEW)
    assert content(target) == NEW


def test_what_a_running_process_is_writing_is_left_alone(tmp_path: Path) -> None:
    target = tmp_path / "edition"
    others = tmp_path / f".edition.new-{os.getppid()}"  # our parent is at work
    stale = tmp_path / f".edition.new-{finished_process()}"
    for folder in (others, stale):
        folder.mkdir()
    files.write_folder(target, NEW)
    assert sorted(p.name for p in tmp_path.iterdir()) == sorted(["edition", others.name])


def test_two_runs_at_once_leave_one_whole_edition(tmp_path: Path) -> None:
    script = (
        "import sys; from pathlib import Path; from planpress.app import files\n"
        "for i in range(150): files.write_folder(Path(sys.argv[1]), {n: sys.argv[2].encode() for n in 'abc'})"
    )
    runs = [
        subprocess.Popen(
            [sys.executable, "-c", script, str(tmp_path / "edition"), name], env={**os.environ, "PYTHONPATH": str(ROOT)}
        )
        for name in ("one", "two")
    ]
    assert [run.wait() for run in runs] == [0, 0]
    assert set(content(tmp_path / "edition").values()) in ({b"one"}, {b"two"})
    assert [p.name for p in tmp_path.iterdir()] == ["edition"]


def test_a_file_in_the_place_of_an_edition_is_not_removed(tmp_path: Path) -> None:
    target = tmp_path / "edition"
    target.write_text("somebody's notes", encoding="utf-8")
    with pytest.raises(NotADirectoryError):
        files.write_folder(target, NEW)
    assert target.read_text(encoding="utf-8") == "somebody's notes"
    assert list(tmp_path.iterdir()) == [target]


def test_a_link_is_replaced_and_what_it_led_to_stays(tmp_path: Path) -> None:
    target, elsewhere = tmp_path / "edition", tmp_path / "elsewhere"
    files.write_folder(elsewhere, OLD)
    target.symlink_to(elsewhere)
    files.write_folder(target, NEW)
    assert (content(target), content(elsewhere)) == (NEW, OLD)
    assert sorted(p.name for p in tmp_path.iterdir()) == ["edition", "elsewhere"]


def test_a_build_that_fails_leaves_the_last_good_edition(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    plan = planpress.load(DEMO)
    target = tmp_path / "seedling-stand" / "imperial-letter"
    files.write_folder(target, OLD)
    with pytest.raises(planpress.PlanFaults):
        plan.build(tmp_path, units=["imperial", "metric"], settings={"slats": "5"})  # fails before anything is written
    with monkeypatch.context() as patch:
        fail_at(patch, "write_bytes", "edition.json")
        with pytest.raises(OSError, match="No space"):
            plan.build(tmp_path)
    assert content(target) == OLD
    assert [p.name for p in target.parent.iterdir()] == ["imperial-letter"]
    (edition,) = plan.build(tmp_path)
    assert set(content(target)) == set(edition.files)


@pytest.mark.parametrize(
    ("name", "title"),
    [
        ("boot-rack", "Boot rack"),
        ("coat_hooks", "Coat hooks"),
        ("a/b/stool", "Stool"),
        ('the "good" one', 'The "good" one'),
        ("left\\right: yes # no", "Left\\right: yes # no"),
        ("étagère", "Étagère"),
        ("here/.", "Here"),
    ],
)
def test_a_new_plan_has_the_title_of_its_folder(tmp_path: Path, name: str, title: str) -> None:
    path = files.start_plan(tmp_path / name)
    plan = planpress.load(path.parent)
    assert plan.description.title == title
    assert [d for d in plan.check() if d.severity.value != "note"] == []
    with pytest.raises(FileExistsError):
        files.start_plan(tmp_path / name)


def test_a_folder_without_a_plan_and_a_folder_as_plan(tmp_path: Path) -> None:
    with pytest.raises(planpress.PlanFaults, match=r"plan\.yaml:1:1: error: no such file"):
        planpress.load(tmp_path)
    (tmp_path / "plan.yaml").mkdir()
    with pytest.raises(planpress.PlanFaults, match="directory"):
        planpress.load(tmp_path)


def test_marks_of_other_editors_are_no_part_of_a_plan(tmp_path: Path) -> None:
    """A byte order mark, and lines that end as on Windows, change neither the plan nor the places of its faults."""
    text = (DEMO / "plan.yaml").read_text(encoding="utf-8").replace("gap:         {value:", "gap:         {valu:")
    for name, data in (("unix.yaml", text), ("other.yaml", "\ufeff" + text.replace("\n", "\r\n"))):
        (tmp_path / name).write_bytes(data.encode())
    found = []
    for name in ("unix.yaml", "other.yaml"):
        with pytest.raises(planpress.PlanFaults) as caught:
            planpress.load(tmp_path / name)
        found.append(
            [(d.code, d.message, d.place and (d.place.line, d.place.column)) for d in caught.value.diagnostics]
        )
    assert found[0] == found[1]

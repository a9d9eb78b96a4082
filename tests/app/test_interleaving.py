"""Two runs that write the same folder, taken in turns: the other run comes in at every call that ours makes."""

from __future__ import annotations

import contextlib
import os
import shutil
import sys
from pathlib import Path
from types import FrameType

import pytest

from planpress.app import files

OURS = {"a.txt": b"ours", "b.txt": b"ours"}
OTHERS = {"a.txt": b"other", "b.txt": b"other"}
BEFORE = {"a.txt": b"before", "gone.txt": b"before"}


class OtherRun:
    """Another run that replaces `target`: it takes the old folder away at call `away`, and puts its own `length` later.

    Calls are those of functions, in Python or not, that the watched run makes, counted from 1. With `pause`, it does
    the same again so many calls after it has put its own, once.
    """

    def __init__(self, target: Path, away: int, length: int, pause: int = 0) -> None:
        self.target, self.away, self.length, self.pause = str(target), away, length, pause
        process = os.getppid()  # one that is at work
        self.fresh, self.old = (str(target.parent / f".{target.name}.{kind}-{process}") for kind in ("new", "old"))
        self.calls = 0
        self.is_under_way = False
        self.has_put = False

    def watch(self, frame: FrameType, event: str, argument: object) -> None:
        """For `sys.setprofile`: take the turns."""
        if event not in ("call", "c_call"):
            return
        self.calls += 1
        if self.calls == self.away:
            shutil.rmtree(self.old, ignore_errors=True)
            with contextlib.suppress(FileNotFoundError):  # ours has just taken it away
                os.rename(self.target, self.old)
            self.is_under_way = True
        elif self.is_under_way and self.calls >= self.away + self.length:
            self.put()
            if self.has_put and self.pause:
                self.away, self.pause = self.calls + self.pause, 0
                shutil.copytree(self.target, self.fresh)

    def put(self) -> None:
        """The second half; if ours has been put in the meantime, the other run would begin anew: here it gives up."""
        self.is_under_way = False
        if not os.path.isdir(self.target):
            os.rename(self.fresh, self.target)
            self.has_put = True


def written(folder: Path, away: int, length: int = 1, pause: int = 0) -> OtherRun:
    """Write OURS over BEFORE while the other run comes in; afterwards a whole folder stands there, and nothing else."""
    target = folder / "edition"
    other = OtherRun(target, away, length, pause)
    for path, content in ((target, BEFORE), (Path(other.fresh), OTHERS)):
        path.mkdir()
        for name, data in content.items():
            (path / name).write_bytes(data)
    sys.setprofile(other.watch)
    try:
        files.write_folder(target, OURS)
    finally:
        sys.setprofile(None)
    ours_stands = target.is_dir() and {p.name: p.read_bytes() for p in target.iterdir()} == OURS
    if other.is_under_way:
        other.put()
    content = {p.name: p.read_bytes() for p in target.iterdir()}
    assert content == OURS if ours_stands or not other.has_put else content == OTHERS
    for left in (other.fresh, other.old):
        shutil.rmtree(left, ignore_errors=True)  # as the other run does at its end
    assert [p.name for p in folder.iterdir()] == ["edition"]
    return other


@pytest.mark.parametrize(("length", "pause"), [(1, 0), (1000, 0), (10, 9), (10, 10)])
def test_another_run_may_come_in_at_any_moment(tmp_path: Path, length: int, pause: int) -> None:
    """`length`: how many calls the folder is away; `pause`: how many until it is taken away once more, if at all."""
    undisturbed = tmp_path / "undisturbed"
    undisturbed.mkdir()
    calls = written(undisturbed, sys.maxsize).calls
    assert calls > 20
    has_put = 0
    for moment in range(1, calls + 1):
        folder = tmp_path / str(moment)
        folder.mkdir()
        has_put += written(folder, moment, length, pause).has_put
    assert has_put > 0  # it did come in

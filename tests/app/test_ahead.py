"""Work done ahead in a child process: the same results, in any order of asking, whatever becomes of the child."""

from __future__ import annotations

import os
import subprocess
import sys

import pytest

from tests.plans import ROOT

#: Each work says whether it was done by a child; `broken` ones come to grief there.
SCRIPT = """
import os, sys
from planpress.app.ahead import Ahead, start_beside

here = os.getpid()

def work(name, before=None, broken=False):
    def done():
        if broken and os.getpid() != here:
            raise RuntimeError(name)
        return name, os.getpid() != here, before.result()[0] if before else ""
    return Ahead(done)

def tasks(broken=()):
    first = work("one", broken="one" in broken)
    second = work("two", first, broken="two" in broken)
    return first, second, work("three", second, broken="three" in broken)
"""


def run(program: str) -> list[str]:
    """The lines that a program prints in a new process."""
    environment = {**os.environ, "PYTHONPATH": str(ROOT)}
    command = [sys.executable, "-c", SCRIPT + program]
    return subprocess.run(
        command, env=environment, cwd=ROOT, capture_output=True, text=True, check=True
    ).stdout.splitlines()


FORKS = hasattr(os, "fork")


def test_results_come_in_any_order_of_asking_and_stay() -> None:
    program = """
for order in ((0, 1, 2), (2, 0, 1), (1, 2, 0), (1, 0, 2), (2, 1, 0)):
    all_three = tasks()
    started = start_beside(*all_three)
    found = [all_three[k].result() for k in order]
    assert [all_three[k].result() for k in order] == found
    print(started, sorted(found))
"""
    expected = [("one", FORKS, ""), ("three", FORKS, "two"), ("two", FORKS, "one")]
    assert run(program) == [f"{FORKS} {expected}"] * 5


def test_a_child_that_comes_to_grief_is_made_good() -> None:
    program = """
for broken in ("one", "two", "three"):
    for order in ((0, 1, 2), (2, 1, 0)):
        all_three = tasks((broken,))
        start_beside(*all_three)
        found = dict((k, all_three[k].result()) for k in order)
        print([found[k][1] for k in range(3)], [found[k][0] for k in range(3)])
"""
    names = ["one", "two", "three"]
    beside = [[FORKS and number < k for number in range(3)] for k in range(3)]
    assert run(program) == [f"{done} {names}" for done in beside for _ in range(2)]


def test_work_that_was_not_started_is_done_here_once() -> None:
    program = """
count = []
late = Ahead(lambda: count.append(1) or "late")
print(len(count), late.result(), late.result(), len(count))
import numpy
print(start_beside(late, *tasks()))
"""
    assert run(program) == ["0 late late 1", "False"]


@pytest.mark.skipif(not FORKS, reason="this system cannot fork")
def test_a_child_is_forgotten_when_its_last_result_has_come() -> None:
    program = """
one, two, three = tasks()
started = start_beside(one, two, three)
print(three.result()[0])
try:
    os.waitpid(-1, os.WNOHANG)
except ChildProcessError:
    print("no child")
"""
    assert run(program) == ["three", "no child"]


def test_plans_are_read_without_libraries_that_dislike_forking() -> None:
    program = """
from planpress.app.plan import load
for folder in ("seedling-stand", "divider-tray", "step-stool", "wall-shelf"):
    load(f"projects/{folder}")
one = Ahead(lambda: 1)
print(start_beside(one))
"""
    assert run(program) == [str(FORKS)]

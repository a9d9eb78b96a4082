"""Work done ahead in a second process: while this one loads what writes pages, the other solves, checks and draws.

A forked child starts with everything read and imports only what it needs. It is used where the system can fork, and
only if it is asked for; without it the same work is done here, with the same result.
"""

from __future__ import annotations

import os
import pickle
import sys
import tempfile
from collections.abc import Callable, Sequence
from typing import Any, Generic, TypeVar

T = TypeVar("T")
#: Libraries that start threads when they are loaded; a process with threads should not fork.
_UNFORKABLE = {"numpy"}


class Ahead(Generic[T]):
    """The result of `work`, done when it is first asked for unless a child process does it (`start_beside`)."""

    def __init__(self, work: Callable[[], T]) -> None:
        self._work = work
        self._result: list[T] = []
        self._child: _Child | None = None

    def result(self) -> T:
        """What the work gave; if the child came to grief, the work is done here and says why."""
        if not self._result:
            received = self._child.received(self) if self._child is not None else []
            self._result.append(received[0] if received else self._work())
        return self._result[0]

    def belongs_to(self, child: _Child) -> None:
        """A child process has begun to do the work."""
        self._child = child


def start_beside(*tasks: Ahead[Any]) -> bool:
    """Have a child process do these works from now on, one after the other; a later one may ask for earlier results.

    Returns:
        False if the system cannot fork now; then each is done here, when it is asked for.
    """
    if not hasattr(os, "fork") or _UNFORKABLE & sys.modules.keys():
        return False
    child = _Child(tasks)
    for task in tasks:
        task.belongs_to(child)
    return True


class _Child:
    """A forked process. It writes each result to a file of its own, and then a byte to a pipe."""

    def __init__(self, tasks: Sequence[Ahead[Any]]) -> None:
        self._tasks = tasks
        self._files = [tempfile.TemporaryFile() for _ in tasks]  # noqa: SIM115 - shared with the child
        self._count = 0
        self._pipe, signals = os.pipe()
        self._process = os.fork()
        if self._process:
            os.close(signals)
            return
        status = 1
        try:
            for task, file in zip(tasks, self._files, strict=True):
                pickle.dump(task.result(), file, pickle.HIGHEST_PROTOCOL)
                file.flush()
                os.write(signals, b".")
            status = 0
        finally:
            os._exit(status)  # without the parent's clean-up; a failed child is silent, the parent does its work

    def received(self, task: Ahead[T]) -> list[T]:
        """The result of a task as soon as it is there; none if the child came to grief before."""
        number = self._tasks.index(task)
        while self._process and self._count <= number:
            has_come = bool(os.read(self._pipe, 1))  # nothing to read: the child has ended
            self._count += has_come
            if not has_come or self._count == len(self._tasks):
                self._end()
        if self._count <= number:
            return []
        with self._files[number] as file:
            file.seek(0)
            return [pickle.load(file)]

    def _end(self) -> None:
        """The child has ended, or is about to: let the system forget it."""
        os.waitpid(self._process, 0)
        os.close(self._pipe)
        self._process = 0

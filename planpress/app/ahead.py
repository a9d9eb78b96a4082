"""Work done ahead in a second process: while this one loads what writes pages, the other draws and checks.

A forked child starts with everything solved and imports only what it needs. It is used where the system can fork, and
only if it is asked for; without it the same work is done here, with the same result.
"""

from __future__ import annotations

import os
import pickle
import sys
import tempfile
from collections.abc import Callable
from typing import BinaryIO, Generic, TypeVar

T = TypeVar("T")
#: Libraries that start threads when they are loaded; a process with threads should not fork.
_UNFORKABLE = {"numpy"}


class Ahead(Generic[T]):
    """The result of `work`, computed in a child process from now on if `parallel`, else when it is first asked for."""

    def __init__(self, work: Callable[[], T], parallel: bool) -> None:
        self._work = work
        self._result: list[T] = []
        self._child = 0
        self._file: BinaryIO | None = None
        if parallel and hasattr(os, "fork") and not _UNFORKABLE & sys.modules.keys():
            self._start()

    @property
    def is_elsewhere(self) -> bool:
        """True if a child process is at work."""
        return self._file is not None

    def _start(self) -> None:
        self._file = tempfile.TemporaryFile()  # noqa: SIM115 - shared with the child, closed when its result is read
        self._child = os.fork()
        if self._child:
            return
        status = 1
        try:
            pickle.dump(self._work(), self._file, pickle.HIGHEST_PROTOCOL)
            self._file.flush()
            status = 0
        finally:
            os._exit(status)  # without the parent's clean-up; a failed child is silent, the parent does its work

    def result(self) -> T:
        """What the work gave; if the child came to grief, the work is done here and says why."""
        if not self._result:
            self._result.append(self._from_child() if self._file is not None else self._work())
        return self._result[0]

    def _from_child(self) -> T:
        if self._file is None:
            raise AssertionError("there is no child")
        _, status = os.waitpid(self._child, 0)
        with self._file as file:
            self._file = None
            if os.waitstatus_to_exitcode(status) != 0:
                return self._work()
            file.seek(0)
            result: T = pickle.load(file)
            return result

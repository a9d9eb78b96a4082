"""Imports of ReportLab that wait until they are needed; runs before any other module of this package.

ReportLab imports an image library and a text shaper, and compiles slow patterns for addresses of the web and for Asian
scripts. A plan set needs none of them. They stay whole for everybody else: the modules load at the first use of one of
their names, the patterns compile at the first match.
"""

from __future__ import annotations

import re
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from importlib import import_module
from importlib.util import LazyLoader, find_spec, module_from_spec
from typing import Any

#: First characters of the slow patterns, in ReportLab 5.1: platypus.paragraph, lib.textsplit.
_SLOW = (r"(^(?:[a-z0-9\.\-\+]*)://)", "([\u2e80-\uffff])")


def load_late(name: str) -> None:
    """Puts a module into `sys.modules` that loads when one of its names is first used, if it can be found."""
    if name in sys.modules:
        return
    package, _, last = name.rpartition(".")
    try:
        spec = find_spec(name)
    except ModuleNotFoundError:
        return
    if spec is None or spec.loader is None:
        return
    spec.loader = loader = LazyLoader(spec.loader)
    module = module_from_spec(spec)
    sys.modules[name] = module
    loader.exec_module(module)
    if package:
        setattr(sys.modules[package], last, module)


class LatePattern:
    """A regular expression that is compiled when one of its methods is first used."""

    def __init__(self, pattern: str, flags: int) -> None:
        self._source = (pattern, flags)

    def __getattr__(self, name: str) -> Any:
        return getattr(re.compile(*self._source), name)


@contextmanager
def _slow_patterns_late() -> Iterator[None]:
    """While it lasts, `re.compile` puts off the slow patterns and compiles all others."""
    whole = re.compile

    def compile_or_wait(pattern: Any, flags: Any = 0) -> Any:
        if isinstance(pattern, str) and pattern.startswith(_SLOW):
            return LatePattern(pattern, flags)
        return whole(pattern, flags)

    setattr(re, "compile", compile_or_wait)  # noqa: B010 (type checkers refuse the plain way)
    try:
        yield
    finally:
        setattr(re, "compile", whole)  # noqa: B010


def import_reportlab() -> None:
    """Imports what this package and its users need of ReportLab, without what they do not."""
    if "reportlab.platypus.paragraph" in sys.modules:
        return
    for name in ("PIL.Image", "uharfbuzz"):
        load_late(name)
    with _slow_patterns_late():
        import_module("reportlab.platypus.paragraph")


import_reportlab()

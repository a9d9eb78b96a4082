"""planpress: from one description of a piece of furniture to a printable plan set."""

from __future__ import annotations

import importlib
from typing import TYPE_CHECKING

__version__ = "0.1.0"
__all__ = ["Plan", "PlanFaults", "__version__", "load"]

if TYPE_CHECKING:
    from planpress.app.plan import Plan, load
    from planpress.base.diagnostics import PlanFaults


def __getattr__(name: str) -> object:
    """Import the interface when it is first asked for, so that `planpress --help` stays quick."""
    homes = {"Plan": "app.plan", "load": "app.plan", "PlanFaults": "base.diagnostics"}
    if name in homes:
        return getattr(importlib.import_module(f"planpress.{homes[name]}"), name)
    raise AttributeError(f"module 'planpress' has no attribute {name!r}")

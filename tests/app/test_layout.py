"""The layout check over whole editions at several sizes: no text on text or lines, nothing outside the block."""

from __future__ import annotations

import pytest

from tests.app.builds import EDITIONS, built
from tests.pages.layout_check import faults


@pytest.mark.parametrize(("units", "paper", "settings"), EDITIONS[1:])
def test_editions_of_other_sizes_have_no_layout_faults(
    units: str, paper: str, settings: tuple[tuple[str, str], ...]
) -> None:
    assert faults(built(units, paper, settings).plan_set.read_bytes()) == []

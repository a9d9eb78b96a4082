"""Which editions a build makes, and what their folders are called."""

from __future__ import annotations

import hashlib
import re
from collections.abc import Mapping, Sequence

from attrs import frozen

from planpress.base.edition import PAPERS, Edition
from planpress.base.printing import Units

#: The paper a unit system's readers usually have.
USUAL_PAPER = {Units.IMPERIAL: "letter", Units.METRIC: "a4"}
_LONGEST_NAME = 80


@frozen
class EditionRequest:
    """One edition to make: unit system, paper, size of the plan, and settings of single parameters (as text)."""

    units: Units
    paper: str
    size: str
    settings: tuple[tuple[str, str], ...]

    @property
    def folder(self) -> str:
        """Name of the edition's folder: "imperial-letter", "metric-a4-balcony", "imperial-letter-top_length-52in"."""
        words = [self.units.value, self.paper]
        if self.size:
            words.append(self.size)
        words += [f"{name}-{value}" for name, value in self.settings]
        name = re.sub(r"[^A-Za-z0-9_.]+", "-", "-".join(words)).strip("-.")
        if len(name) > _LONGEST_NAME or self._is_ambiguous:
            digest = hashlib.sha256(repr((words, self.settings)).encode()).hexdigest()[:8]
            name = f"{name[:_LONGEST_NAME]}-{digest}"
        return name

    @property
    def _is_ambiguous(self) -> bool:
        """True if a value has signs that a file name cannot keep: 5/8 in and 5-8 in, 5 deg and -5 deg share words."""
        return any(not re.fullmatch(r"[A-Za-z0-9_.]+( [A-Za-z0-9_.]+)*", value) for _, value in self.settings)

    def edition(self) -> Edition:
        """How this edition writes its numbers."""
        size = self.size
        if self.settings:
            size = ", ".join(filter(None, [size, "own size"]))
        return Edition(self.units, self.paper, size)


def requests(
    units: Sequence[str] = (),
    papers: Sequence[str] = (),
    sizes: Sequence[str] = (),
    settings: Mapping[str, str] | None = None,
) -> list[EditionRequest]:
    """Every combination asked for; inches on letter if nothing is. In what order settings are given does not matter.

    Raises:
        ValueError: for an unknown unit system or paper; the message names the known ones.
    """
    chosen_units = [_units(word) for word in dict.fromkeys(units)] or [Units.IMPERIAL]
    for paper in papers:
        if paper not in PAPERS:
            raise ValueError(f"no paper '{paper}'; known: {', '.join(PAPERS)}")
    out = []
    for unit in chosen_units:
        for paper in list(dict.fromkeys(papers)) or [USUAL_PAPER[unit]]:
            for size in list(dict.fromkeys(sizes)) or [""]:
                out.append(EditionRequest(unit, paper, size, tuple(sorted((settings or {}).items()))))
    return out


def _units(word: str) -> Units:
    try:
        return Units(word)
    except ValueError:
        raise ValueError(f"no unit system '{word}'; known: {', '.join(u.value for u in Units)}") from None

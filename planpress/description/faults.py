"""The fault of a formula, and the guess at what the maker meant."""

from __future__ import annotations

import difflib
from collections.abc import Iterable

from planpress.base.diagnostics import Diagnostic, Place, Severity

#: Known words that are compared with an unknown one; more would make a long list of faults slow.
MAX_CANDIDATES = 300


class FormulaError(Exception):
    """Raised for a formula that cannot be read or computed; carries the diagnostic with its place."""

    def __init__(self, diagnostic: Diagnostic) -> None:
        super().__init__(diagnostic.message)
        self.diagnostic = diagnostic


def formula_error(code: str, message: str, place: Place, expected: str = "", hint: str = "") -> FormulaError:
    """A formula's fault as an exception, to be raised."""
    return FormulaError(Diagnostic(code, Severity.ERROR, message, place, expected, hint))


def nearest(word: str, known: Iterable[str]) -> str | None:
    """The known word most like the one written; None if none is alike."""
    candidates = list(dict.fromkeys(known))[:MAX_CANDIDATES]
    lowered = {name.lower().replace(" ", "_"): name for name in reversed(candidates)}
    found = difflib.get_close_matches(word.lower().replace(" ", "_"), list(lowered), n=1, cutoff=0.6)
    return lowered[found[0]] if found else None


def did_you_mean(word: str, known: Iterable[str]) -> str:
    """A hint with the nearest known word, or with all of them where few are known, or ""."""
    candidates = list(dict.fromkeys(known))
    near = nearest(word, candidates)
    if near is not None:
        return f"did you mean '{near}'?"
    if 0 < len(candidates) <= 8:
        return f"known: {', '.join(candidates)}"
    return ""

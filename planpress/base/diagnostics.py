"""Faults and warnings as data: code, severity, place, message, what was expected and how to mend it.

Printing is separate (`render`), so that one list of diagnostics serves the terminal, JSON and tests alike.
"""

from __future__ import annotations

import enum
from collections.abc import Iterable, Sequence

from attrs import frozen


class Severity(enum.Enum):
    """How grave a diagnostic is: an error stops the release, a warning and a note do not."""

    ERROR = "error"
    WARNING = "warning"
    NOTE = "note"


@frozen(order=True)
class Place:
    """A place in a text file. Line and column count from 1, as editors show them."""

    file: str
    line: int
    column: int

    def __str__(self) -> str:
        return f"{self.file}:{self.line}:{self.column}"


@frozen
class Diagnostic:
    """One fault, warning or note about a plan.

    Attributes:
        code: short stable name of the rule, for example "unknown-key" or "P12".
        severity: error, warning or note.
        message: what is wrong, in the maker's own words (their key, their value).
        place: where in the description; None if the fault has no single place.
        expected: what would have been right, or "".
        hint: how to mend it, or "".
    """

    code: str
    severity: Severity
    message: str
    place: Place | None = None
    expected: str = ""
    hint: str = ""

    def as_dict(self) -> dict[str, str | int | None]:
        """Plain values for JSON."""
        return {
            "code": self.code,
            "severity": self.severity.value,
            "message": self.message,
            "file": self.place.file if self.place else None,
            "line": self.place.line if self.place else None,
            "column": self.place.column if self.place else None,
            "expected": self.expected,
            "hint": self.hint,
        }


class PlanFaults(Exception):  # noqa: N818 - it is a collection of faults, not one error
    """Raised when a plan cannot be used. Carries every diagnostic of the run, errors and warnings alike."""

    def __init__(self, diagnostics: Sequence[Diagnostic]) -> None:
        super().__init__(diagnostics)
        self.diagnostics: tuple[Diagnostic, ...] = tuple(diagnostics)

    def __str__(self) -> str:
        return "\n".join(render(item) for item in self.diagnostics)


class Findings:
    """Collects diagnostics, so that one run reports all faults."""

    def __init__(self) -> None:
        self.items: list[Diagnostic] = []

    def error(self, code: str, message: str, place: Place | None = None, expected: str = "", hint: str = "") -> None:
        """Add an error."""
        self.items.append(Diagnostic(code, Severity.ERROR, message, place, expected, hint))

    def warning(self, code: str, message: str, place: Place | None = None, expected: str = "", hint: str = "") -> None:
        """Add a warning."""
        self.items.append(Diagnostic(code, Severity.WARNING, message, place, expected, hint))

    def note(self, code: str, message: str, place: Place | None = None, expected: str = "", hint: str = "") -> None:
        """Add a note."""
        self.items.append(Diagnostic(code, Severity.NOTE, message, place, expected, hint))

    def extend(self, items: Iterable[Diagnostic]) -> None:
        """Add the diagnostics of another run."""
        self.items.extend(items)

    @property
    def has_errors(self) -> bool:
        """True if at least one diagnostic is an error."""
        return any(item.severity is Severity.ERROR for item in self.items)

    def raise_errors(self) -> None:
        """Stop here if there are errors.

        Raises:
            PlanFaults: with all diagnostics so far, if one of them is an error.
        """
        if self.has_errors:
            raise PlanFaults(in_order(self.items))


def in_order(items: Iterable[Diagnostic]) -> list[Diagnostic]:
    """Sorted by place (those without a place last), otherwise as found; exact repeats once."""
    unique = list(dict.fromkeys(items))
    return sorted(unique, key=lambda d: (d.place is None, d.place or Place("", 0, 0)))


def render(item: Diagnostic) -> str:
    """One diagnostic as lines of text: place first, code last, expectation and hint below."""
    where = f"{item.place}: " if item.place else ""
    lines = [f"{where}{item.severity.value}: {item.message} [{item.code}]"]
    if item.expected:
        lines.append(f"    expected: {item.expected}")
    if item.hint:
        lines.append(f"    mend: {item.hint}")
    return "\n".join(lines)

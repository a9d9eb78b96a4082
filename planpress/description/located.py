"""Text that knows where in the file each of its characters stands.

A value may be plain, quoted, folded over several lines or escaped; a fault inside it must still name the line and
column where the maker sees it. The text is kept as straight runs: within a run, one step in the text is one column.
"""

from __future__ import annotations

from bisect import bisect_right

from attrs import frozen

from planpress.base.diagnostics import Place


@frozen
class Run:
    """From `offset` in the text on, characters follow one another in the file from `place` on."""

    offset: int
    place: Place


@frozen
class LocatedText:
    """A text and the runs that place it; `runs` starts with offset 0 and is in ascending order."""

    text: str
    runs: tuple[Run, ...]

    @property
    def place(self) -> Place:
        """Place of the first character."""
        return self.runs[0].place

    def place_at(self, offset: int) -> Place:
        """Place of the character at `offset`; one past the end is allowed."""
        run = self.runs[bisect_right(self.runs, offset, key=lambda item: item.offset) - 1]
        return Place(run.place.file, run.place.line, run.place.column + offset - run.offset)

    def part(self, start: int, end: int) -> LocatedText:
        """The characters from `start` up to `end`."""
        inner = [Run(run.offset - start, run.place) for run in self.runs if start < run.offset < end]
        return LocatedText(self.text[start:end], (Run(0, self.place_at(start)), *inner))


def straight(text: str, place: Place) -> LocatedText:
    """A text that stands in the file as it is, on one line, from `place` on."""
    return LocatedText(text, (Run(0, place),))


def align(text: str, source: str, start: int, end: int, first: Place, escapes: str) -> LocatedText:
    """Find the characters of `text` again in `source[start:end]`, where line breaks were folded and escapes replaced.

    Args:
        text: the value as YAML gives it.
        source: the whole file; start, end: where in it the value stands; first: place of `source[start]`.
        escapes: "" for none, "'" for doubled single quotes, "\\\\" for backslash escapes.
    """
    runs: list[Run] = []
    position, line, column = start, first.line, first.column
    straight_on = False  # the next character of the text directly follows the last one in the file
    for offset, char in enumerate(text):
        while position < end and _is_skipped(char, source, position, escapes):
            if source[position] == "\\":  # an escaped line break takes the next line's indent with it
                indent = len(source[position + 2 : end]) - len(source[position + 2 : end].lstrip(" \t"))
                position, line, column = position + 2 + indent, line + 1, 1 + indent
            else:
                line, column = (line + 1, 1) if source[position] == "\n" else (line, column + 1)
                position += 1
            straight_on = False
        if position >= end:
            break
        if char.isspace() and source[position] != char and not (escapes and source[position] == escapes):
            straight_on = False  # made by folding: nothing in the file stands for it
            continue
        if not straight_on:
            runs.append(Run(offset, Place(first.file, line, column)))
        step = _escape_length(source, position, escapes)
        line, column = (line + 1, 1) if source[position] == "\n" else (line, column + step)
        position += step
        straight_on = step == 1 and char != "\n"
    if not runs or runs[0].offset > 0:
        runs.insert(0, Run(0, first))
    return LocatedText(text, tuple(runs))


def _is_skipped(char: str, source: str, position: int, escapes: str) -> bool:
    """True for white space of the file that a visible character comes after, and for an escaped line break."""
    found = source[position]
    if escapes == "\\" and source.startswith("\\\n", position):
        return True
    if char.isspace():
        return False
    return found.isspace() and found != char


def _escape_length(source: str, position: int, escapes: str) -> int:
    """How many characters of the file stand for one character of the value."""
    if escapes == "'" and source.startswith("''", position):
        return 2
    if escapes == "\\" and source.startswith("\\", position):
        return 2 + {"x": 2, "u": 4, "U": 8}.get(source[position + 1 : position + 2], 0)
    return 1

"""YAML text to a small tree of nodes that keep their place in the file.

Only what a plan needs is let in: one document of mappings, lists and texts. Anchors, aliases, merge keys, tags and
repeated keys are refused, sizes are bounded, and nothing is converted (`1.10` stays "1.10", `no` stays "no").
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any, TypeAlias

import yaml
from attrs import field, frozen

from planpress.base.diagnostics import Findings, Place
from planpress.description.located import LocatedText, align, straight

MAX_CHARACTERS = 1_000_000
MAX_NODES = 10_000
MAX_DEPTH = 30
MAX_TEXT = 20_000

# What YAML 1.2 (chapter 5.1, "Character set") does not call printable, and the rare breaks that editors do not count.
# Named one by one: the pattern of all others takes ten times as long to compile.
_UNPRINTABLE = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\u2028\u2029\ud800-\udfff\ufeff\ufffe\uffff]")


@frozen
class Scalar:
    """A text, a number or nothing, as written. `start`, `end` delimit it in `source`, quotes or block sign included."""

    text: str
    place: Place
    style: str  # "" plain, "'", '"', "|" or ">"
    source: str = field(repr=False, eq=False)
    start: int
    end: int

    @property
    def is_empty(self) -> bool:
        """True for a key without a value."""
        return self.style == "" and self.text == ""

    def located(self) -> LocatedText:
        """The text with the place of each character."""
        begin = Place(self.place.file, self.place.line, self.place.column + (self.style in ("'", '"')))
        if self.style in ("|", ">"):
            line_end = self.source.find("\n", self.start)
            body = self.end if line_end < 0 else line_end + 1
            return align(self.text, self.source, body, self.end, Place(begin.file, begin.line + 1, 1), "")
        start = self.start + (1 if self.style else 0)
        if self.source.startswith(self.text, start) and "\n" not in self.text:
            return straight(self.text, begin)
        escapes = {"'": "'", '"': "\\"}.get(self.style, "")
        return align(self.text, self.source, start, self.end, begin, escapes)


@frozen
class Sequence:
    """A list."""

    items: tuple[Node, ...]
    place: Place


@frozen
class Entry:
    """A key and its value."""

    key: Scalar
    value: Node


@frozen
class Mapping:
    """Keys with values, in the order of the file."""

    entries: tuple[Entry, ...]
    place: Place
    in_braces: bool = False


Node: TypeAlias = Scalar | Sequence | Mapping


class _RefusedError(Exception):
    """Reading cannot go on; the fault is already among the findings."""


def read_yaml(text: str, file: str, findings: Findings) -> Mapping | None:
    """The top mapping of a YAML text.

    Returns:
        None if the text cannot be read as YAML; the faults are then among `findings`. Repeated keys are reported and
        the first one is kept.
    """
    start = Place(file, 1, 1)
    if len(text) > MAX_CHARACTERS:
        findings.error(
            "file-size",
            f"the file has {len(text):,} characters",
            start,
            expected=f"at most {MAX_CHARACTERS:,} characters",
        )
        return None
    text = text.removeprefix("\ufeff").replace("\r\n", "\n").replace("\r", "\n")
    bad = _UNPRINTABLE.search(text)
    if bad:
        findings.error(
            "character",
            f"the character U+{ord(bad[0]):04X} may not stand in a plan",
            _place_of(text, file, bad.start()),
            hint="delete it; write the file as UTF-8 text",
        )
        return None
    for loader in _loaders():
        trial = Findings()
        try:
            top = _Composer(text, file, trial, loader).document()
        except _RefusedError:
            top = None
        except yaml.MarkedYAMLError as fault:
            if loader is not yaml.SafeLoader:
                continue  # the Python parser says the same in words that do not depend on the machine
            _syntax_fault(fault, text, file, findings)
            return None
        findings.extend(trial.items)
        return top
    return None


def _loaders() -> list[Any]:
    """The fast parser where PyYAML was built with it, then the one in Python, which has the clearer words."""
    fast = getattr(yaml, "CSafeLoader", None)
    return [fast, yaml.SafeLoader] if fast else [yaml.SafeLoader]


class _Composer:
    """Builds nodes from the parser's events, so that bounds hold before anything large is built."""

    def __init__(self, text: str, file: str, findings: Findings, loader: Any) -> None:
        self.text = text
        self.file = file
        self.findings = findings
        self.events: Iterator[yaml.Event] = yaml.parse(text, Loader=loader)
        self.nodes = 0

    def document(self) -> Mapping | None:
        """The only document's mapping; None for a fault.

        Raises:
            _RefusedError: if reading had to stop.
            yaml.MarkedYAMLError: if the text is no YAML.
        """
        start = Place(self.file, 1, 1)
        next(self.events)
        event = next(self.events)
        if isinstance(event, yaml.StreamEndEvent):
            self.findings.error("empty-file", "the file is empty", start, expected="a plan")
            return None
        top = self.node(next(self.events), 0)
        next(self.events)
        event = next(self.events)
        if isinstance(event, yaml.DocumentStartEvent):
            self.refuse("documents", "a second document begins here", event, "one plan in a file; delete the line ---")
        if not isinstance(top, Mapping):
            self.findings.error(
                "wrong-kind",
                "the file does not hold a plan",
                top.place,
                expected="keys with values, beginning with planpress: 1",
            )
            return None
        return top

    def node(self, event: yaml.Event, depth: int) -> Node:
        """The node that begins with `event`."""
        self.nodes += 1
        if self.nodes > MAX_NODES:
            self.refuse("file-size", f"the plan has more than {MAX_NODES:,} values", event, "")
        if depth > MAX_DEPTH:
            self.refuse("nesting", f"lists and mappings are nested more than {MAX_DEPTH} deep", event, "")
        if isinstance(event, yaml.AliasEvent):
            hint = "a formula does not begin with *; write a value in its place"
            self.refuse("alias", f"the alias *{event.anchor} may not stand in a plan", event, hint)
        assert isinstance(event, yaml.NodeEvent)
        if event.anchor is not None:
            self.refuse("alias", f"the anchor &{event.anchor} may not stand in a plan", event, "write the value out")
        if event.tag is not None:  # type: ignore[attr-defined]
            self.refuse("tag", "tags (!) may not stand in a plan", event, "put the text in quotes")
        if isinstance(event, yaml.ScalarEvent):
            return self.scalar(event)
        if isinstance(event, yaml.SequenceStartEvent):
            items: list[Node] = []
            while not isinstance(inner := next(self.events), yaml.SequenceEndEvent):
                items.append(self.node(inner, depth + 1))
            return Sequence(tuple(items), self.place(event))
        assert isinstance(event, yaml.MappingStartEvent)
        return self.mapping(event, depth)

    def scalar(self, event: yaml.ScalarEvent) -> Scalar:
        """A text."""
        if len(event.value) > MAX_TEXT:
            self.refuse("text-length", f"a text has more than {MAX_TEXT:,} characters", event, "")
        bad = _UNPRINTABLE.search(event.value)
        if bad:
            self.refuse("character", f"the character U+{ord(bad[0]):04X} may not stand in a plan", event, "")
        style = event.style if event.style in ("'", '"', "|", ">") else ""
        start, end = _index(event.start_mark), _index(event.end_mark)
        return Scalar(event.value, self.place(event), style, self.text, start, end)

    def mapping(self, event: yaml.MappingStartEvent, depth: int) -> Mapping:
        """A mapping; repeated keys are reported."""
        entries: list[Entry] = []
        seen: dict[str, Place] = {}
        while not isinstance(inner := next(self.events), yaml.MappingEndEvent):
            if isinstance(inner, yaml.MappingStartEvent) and self.text.startswith("{{", _index(event.start_mark)):
                self.refuse("template", "a text that begins with {{ needs quotes", event, 'write "{{ name }} ..."')
            if not isinstance(inner, yaml.ScalarEvent):
                self.node(inner, depth + 1)
                self.refuse("wrong-kind", "a key must be a plain word", inner, "")
            key = self.node(inner, depth + 1)
            value = self.node(next(self.events), depth + 1)
            assert isinstance(key, Scalar)
            if key.text == "<<" and not key.style:
                self.findings.error(
                    "alias", "merge keys (<<) may not stand in a plan", key.place, hint="write the values out"
                )
            elif key.text in seen:
                self.findings.error(
                    "duplicate-key",
                    f"the key '{key.text}' stands here again; it was first set in line {seen[key.text].line}",
                    key.place,
                    hint="delete or rename one of the two",
                )
            else:
                seen[key.text] = key.place
                entries.append(Entry(key, value))
        return Mapping(tuple(entries), self.place(event), bool(event.flow_style))

    def place(self, event: yaml.Event) -> Place:
        """Where an event begins."""
        mark = event.start_mark
        return Place(self.file, mark.line + 1, mark.column + 1) if mark else Place(self.file, 1, 1)

    def refuse(self, code: str, message: str, event: yaml.Event, hint: str) -> None:
        """Report a fault that ends the reading."""
        self.findings.error(code, message, self.place(event), hint=hint)
        raise _RefusedError


def _index(mark: Any) -> int:
    """A mark's offset in the text; the parsers always set it."""
    assert mark is not None
    return int(mark.index)


def _place_of(text: str, file: str, index: int) -> Place:
    line_start = text.rfind("\n", 0, index) + 1
    return Place(file, text.count("\n", 0, index) + 1, index - line_start + 1)


def _syntax_fault(fault: yaml.MarkedYAMLError, text: str, file: str, findings: Findings) -> None:
    """Put the parser's complaint into plain words."""
    mark = fault.problem_mark or fault.context_mark
    line, column = (mark.line, mark.column) if mark else (0, 0)
    lines = text.split("\n")
    written = lines[line] if line < len(lines) else ""
    problem = fault.problem or "it is not well formed"
    message, hint = f"this line cannot be read: {problem}", ""
    indent = written[: len(written) - len(written.lstrip())]
    if "\t" in indent or "'\\t'" in problem:
        message, hint = "a tab stands where spaces are needed", "indent with spaces"
        column = written.find("\t") if "\t" in written else column
    elif "{{" in written or "{{" in lines[max(line - 1, 0)]:
        message = "a text with {{ }} in it must be in quotes here"
        hint = 'put quotes around the whole text: "... {{ name }} ..."'
    elif "mapping values are not allowed" in problem:
        message = "a colon stands inside a value, or this line is indented too far"
        hint = "put a text with a colon in quotes; begin a line under the one it belongs beside"
    elif "could not find expected ':'" in problem:
        start = fault.context_mark
        if start is not None:
            line, column = start.line, start.column
        message, hint = "a colon is missing after a key", "write key: value"
    elif "quoted scalar" in (fault.context or ""):
        start = fault.context_mark
        if start is not None:
            line, column = start.line, start.column
        if "escape" in problem:
            hint = "use single quotes around a text with \\ in it"
            message = "a backslash in double quotes begins an escape that YAML does not know"
        else:
            message, hint = "a quote is opened here but not closed", "close it with the same kind of quote"
    elif "flow sequence" in (fault.context or ""):
        message = "a list in [ ] is not closed, or a comma is missing"
        hint = f"it begins in line {fault.context_mark.line + 1}" if fault.context_mark else ""
    elif "flow mapping" in (fault.context or ""):
        message = "a mapping in { } is not closed, or a comma is missing"
        hint = f"it begins in line {fault.context_mark.line + 1}" if fault.context_mark else ""
    elif "expected <block end>, but found '<scalar>'" in problem:
        message = "text stands behind the closing quote"
        hint = "inside '...' write '' for a single quote; inside \"...\" write \\\" for a double one"
    elif "expected <block end>" in problem:
        message, hint = "this line does not fit the lines above it", "check its indent and the quotes before it"
    elif "cannot start any token" in problem:
        message = f"the sign {written[column : column + 1]} may not begin a value"
        hint = "put the text in quotes"
    findings.error("yaml", message, Place(file, line + 1, column + 1), hint=hint)

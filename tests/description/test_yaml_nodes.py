"""YAML: what is let in, the places of nodes and characters, and faults in plain words."""

from __future__ import annotations

import pytest
import yaml
from hypothesis import given
from hypothesis import strategies as st

from planpress.base.diagnostics import Findings
from planpress.description import yaml_nodes
from planpress.description.yaml_nodes import Mapping, Node, Scalar, Sequence, read_yaml
from tests.description.plans import DEMO, PROPERTY


def tree(text: str) -> Mapping:
    findings = Findings()
    top = read_yaml(text, "plan.yaml", findings)
    assert findings.items == []
    assert top is not None
    return top


def told(text: str) -> list[tuple[str, str]]:
    """Each fault as "line:column message", and its hint."""
    findings = Findings()
    read_yaml(text, "plan.yaml", findings)
    return [(f"{d.place.line}:{d.place.column} {d.message}", d.hint) for d in findings.items if d.place]


def plain(node: Node) -> object:
    """Nodes as Python's own lists and dicts of texts."""
    if isinstance(node, Scalar):
        return node.text
    if isinstance(node, Sequence):
        return [plain(item) for item in node.items]
    return {entry.key.text: plain(entry.value) for entry in node.entries}


def scalars(node: Node) -> list[Scalar]:
    if isinstance(node, Scalar):
        return [node]
    if isinstance(node, Sequence):
        return [scalar for item in node.items for scalar in scalars(item)]
    return [scalar for entry in node.entries for scalar in (entry.key, *scalars(entry.value))]


def test_the_demo_reads_as_with_yaml_itself() -> None:
    text = DEMO.read_text(encoding="utf-8")
    assert plain(tree(text)) == yaml.load(text, Loader=yaml.BaseLoader)


def test_texts_stay_as_written() -> None:
    top = tree("version: 1.10\nanswer: no\ndate: 2026-05-12\nnumber: 007\nnothing:\n")
    assert plain(top) == {
        "version": "1.10",
        "answer": "no",
        "date": "2026-05-12",
        "number": "007",
        "nothing": "",
    }
    assert [scalar.is_empty for scalar in scalars(top)].count(True) == 1


def test_places_count_from_one() -> None:
    top = tree("a: 1\nbc: [x, {d: é y}]\n")
    assert [(s.text, s.place.line, s.place.column) for s in scalars(top)] == [
        ("a", 1, 1),
        ("1", 1, 4),
        ("bc", 2, 1),
        ("x", 2, 6),
        ("d", 2, 10),
        ("é y", 2, 13),
    ]


@pytest.mark.parametrize(
    "text",
    [
        "key: plain gap",
        "key: 'single gap'",
        'key: "double gap"',
        "key: 'it''s a gap'",
        'key: "\\"\\x41\\u00e9 gap"',
        "key: plain\n  over two gap",
        "key: 'single\n\n  over three gap'",
        'key: "double \\\n    over two gap"',
        "key: >-\n  folded\n  text gap\n",
        "key: |\n  literal\n    text gap\n",
        "key: >\n\n  a gap late\n\n  in it\n",
        "key: [a, b c\n   gap]",
        "é: 'é é é gap'",
        "key:\n  gap",
    ],
)
def test_each_character_is_found_again(text: str) -> None:
    """The place of a word in the value is its place in the file."""
    value = tree(text).entries[0].value
    scalar = value.items[-1] if isinstance(value, Sequence) else value
    assert isinstance(scalar, Scalar)
    place = scalar.located().place_at(scalar.text.index("gap"))
    line = next(i for i, written in enumerate(text.split("\n"), start=1) if "gap" in written)
    assert (place.line, place.column) == (line, text.split("\n")[line - 1].index("gap") + 1)


@PROPERTY
@given(
    st.text(alphabet="ab '\"\\é\n", max_size=30).filter(str.strip),
    st.sampled_from(["'", '"', "|", ">", None]),
    st.integers(8, 40),
)
def test_visible_characters_are_found_again(value: str, style: str | None, width: int) -> None:
    """Whatever way PyYAML writes a text: each letter of the value is at its place in the file."""
    text = yaml.dump({"key": value}, default_style=style, width=width, allow_unicode=True)
    scalar = scalars(tree(text))[1]
    assert scalar.text == value
    lines = text.split("\n")
    located = scalar.located()
    for offset, char in enumerate(value):
        if char in "abé":
            place = located.place_at(offset)
            assert lines[place.line - 1][place.column - 1] == char


@pytest.mark.parametrize(
    ("text", "message", "hint"),
    [
        ("", "1:1 the file is empty", ""),
        ("# nothing\n", "1:1 the file is empty", ""),
        ("- a\n", "1:1 the file does not hold a plan", ""),
        ("a:\n\tb: 1\n", "2:1 a tab stands where spaces are needed", "indent with spaces"),
        ("a: 1\ntitle\nb: 2\n", "2:1 a colon is missing after a key", "write key: value"),
        ("a: 1\nb:2\n", "2:1 a colon is missing after a key", "write key: value"),
        (
            "a: {{ slats }} slats\n",
            "1:4 a text that begins with {{ needs quotes",
            'write "{{ name }} ..."',
        ),
        (
            "a: {b: use {{ slats }} slats}\n",
            "1:12 a text with {{ }} in it must be in quotes here",
            'put quotes around the whole text: "... {{ name }} ..."',
        ),
        (
            "a: b: c\n",
            "1:5 a colon stands inside a value, or this line is indented too far",
            "put a text with a colon in quotes; begin a line under the one it belongs beside",
        ),
        ('a: 1\nb: "x\nc: 2\n', "2:4 a quote is opened here but not closed", "close it with the same kind of quote"),
        (
            "a: 'it's'\n",
            "1:8 text stands behind the closing quote",
            "inside '...' write '' for a single quote; inside \"...\" write \\\" for a double one",
        ),
        (
            'a: "b\\q"\n',
            "1:4 a backslash in double quotes begins an escape that YAML does not know",
            "use single quotes around a text with \\ in it",
        ),
        ("a: [b, c\nd: e\n", "2:2 a list in [ ] is not closed, or a comma is missing", "it begins in line 1"),
        ("a: {b: c\nd: e\n", "2:2 a mapping in { } is not closed, or a comma is missing", "it begins in line 1"),
        ("a: @b\n", "1:4 the sign @ may not begin a value", "put the text in quotes"),
        (
            "a:\n  - 1\n b: 3\n",
            "3:2 this line does not fit the lines above it",
            "check its indent and the quotes before it",
        ),
        ("a: &b 1\n", "1:4 the anchor &b may not stand in a plan", "write the value out"),
        (
            "a: 1\nc: *b\n",
            "2:4 the alias *b may not stand in a plan",
            "a formula does not begin with *; write a value in its place",
        ),
        ("<<: {a: 1}\n", "1:1 merge keys (<<) may not stand in a plan", "write the values out"),
        ("a: !!python/name:os.system x\n", "1:4 tags (!) may not stand in a plan", "put the text in quotes"),
        ("a: 1\n---\nb: 2\n", "2:1 a second document begins here", "one plan in a file; delete the line ---"),
        ("? [a]\n: 1\n", "1:3 a key must be a plain word", ""),
        ("a: b\x07\n", "1:5 the character U+0007 may not stand in a plan", "delete it; write the file as UTF-8 text"),
        ('a: "\\ud800"\n', "1:4 the character U+D800 may not stand in a plan", ""),
    ],
)
def test_faults_in_plain_words(text: str, message: str, hint: str) -> None:
    assert told(text) == [(message, hint)]


def test_repeated_keys_are_all_reported() -> None:
    assert [message for message, _ in told("a: 1\nb: {c: 1, c: 2}\na: 2\na: 3\n")] == [
        "2:11 the key 'c' stands here again; it was first set in line 2",
        "3:1 the key 'a' stands here again; it was first set in line 1",
        "4:1 the key 'a' stands here again; it was first set in line 1",
    ]


def test_windows_line_ends_and_byte_order_mark() -> None:
    top = tree("\ufeffa: 1\r\nb: 2\r\n")
    assert [(s.text, s.place.line, s.place.column) for s in scalars(top)] == [
        ("a", 1, 1),
        ("1", 1, 4),
        ("b", 2, 1),
        ("2", 2, 4),
    ]


@pytest.mark.parametrize("text", ["[" * 100_000, "{a: " * 10_000, "- " * 1000, "? " * 1000])
def test_nesting_bombs(text: str) -> None:
    [(message, _)] = told(f"a:\n  {text}")
    assert message.endswith("lists and mappings are nested more than 30 deep")


def test_alias_bomb() -> None:
    rows = ["a0: &a0 [x, x]"] + [f"a{i}: &a{i} [*a{i - 1}, *a{i - 1}]" for i in range(1, 40)]
    assert [message for message, _ in told("\n".join(rows))] == ["1:5 the anchor &a0 may not stand in a plan"]


def test_sizes_are_bounded() -> None:
    assert told("a" * 1_000_001)[0][0] == "1:1 the file has 1,000,001 characters"
    assert told("a: [" + "1, " * 10_000 + "]")[0][0].endswith("the plan has more than 10,000 values")
    assert told("a: " + "b" * 20_001)[0][0] == "1:4 a text has more than 20,000 characters"


def test_both_parsers_give_the_same_nodes(monkeypatch: pytest.MonkeyPatch) -> None:
    """PyYAML without its C library reads the demo alike."""
    text = DEMO.read_text(encoding="utf-8")
    first = tree(text)
    monkeypatch.setattr(yaml_nodes, "_loaders", lambda: [yaml.SafeLoader])
    assert tree(text) == first
    assert [scalar.located() for scalar in scalars(tree(text))] == [s.located() for s in scalars(first)]

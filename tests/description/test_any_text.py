"""Whatever the text: a description, or faults with places in it; never another exception."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from planpress.base.diagnostics import Diagnostic, PlanFaults, Severity
from planpress.description import read_description
from planpress.description.records import Description
from tests.description.plans import DEMO, PROPERTY, SMALL

TEXT = DEMO.read_text(encoding="utf-8")
SNIPPETS = (
    *"{}[]()<>:,#&*!|>'\"%@`?-+=/\\~^.;0 \n\t\u00e9\u00bd\u2028\ufeff\x00\ud800\U0001f600",
    "{{ x }}", "- ", "? ", "<<: *a", "&a ", "*a", "!!int ", "---\n", "\n  ", ": ", " #", "null", "true", "1e99",
    "-1", "1/0", "0 in", "180 deg about q", "flush with ", "slat", "row", "underside", "\r\n", "'", '"""', "[[[[",
)  # fmt: skip


def judge(text: str) -> None:
    """Read the text; fails if the outcome is neither a description nor faults in the text."""
    found: tuple[Diagnostic, ...] = ()
    try:
        result = read_description(text, "plan.yaml")
        assert isinstance(result, Description)
        return
    except PlanFaults as raised:
        found = raised.diagnostics
    lines = text.replace("\r\n", "\n").replace("\r", "\n").split("\n")
    assert any(item.severity is Severity.ERROR for item in found)
    for item in found:
        assert item.place is not None
        assert item.place.file == "plan.yaml"
        assert 1 <= item.place.line <= len(lines) + 1
        assert item.place.column >= 1
        assert item.message.encode()


@st.composite
def damaged(draw: st.DrawFn, source: str) -> str:
    """The plan after a few deletions, insertions, repetitions and exchanges."""
    text = source
    for _ in range(draw(st.integers(1, 4))):
        start = draw(st.integers(0, len(text)))
        end = min(len(text), start + draw(st.integers(0, 12)))
        there = draw(st.integers(0, len(text)))
        text = draw(
            st.sampled_from(
                [
                    text[:start] + text[end:],
                    text[:start] + draw(st.sampled_from(SNIPPETS)) + text[start:],
                    text[:start] + draw(st.sampled_from(SNIPPETS)) + text[end:],
                    text[:there] + text[start:end] + text[there:],
                ]
            )
        )
    return text


@st.composite
def with_other_lines(draw: st.DrawFn, source: str) -> str:
    """The plan with lines left out, moved, repeated or indented otherwise."""
    lines = source.split("\n")
    for _ in range(draw(st.integers(1, 4))):
        index = draw(st.integers(0, len(lines) - 1))
        line = lines[index]
        deed = draw(st.sampled_from(["drop", "repeat", "move", "indent", "outdent"]))
        if deed in ("drop", "move") and len(lines) > 1:
            del lines[index]
        if deed in ("repeat", "move"):
            lines.insert(draw(st.integers(0, len(lines))), line)
        if deed == "indent":
            lines[index] = "  " + line
        if deed == "outdent":
            lines[index] = line.removeprefix("  ")
    return "\n".join(lines)


@PROPERTY
@given(damaged(TEXT))
def test_damaged_demo(text: str) -> None:
    judge(text)


@PROPERTY
@given(damaged(SMALL))
def test_damaged_small_plan(text: str) -> None:
    judge(text)


@PROPERTY
@given(with_other_lines(TEXT))
def test_demo_with_other_lines(text: str) -> None:
    judge(text)


# Values where the reader does not expect them: each value of the small plan replaced by any YAML value.
ANY_VALUE = st.recursive(
    st.one_of(
        st.sampled_from(["", "x", "1 in", "9", '""', "slat", "row", "z = 1 in", "-1/2", "true", "{{", "!x y"]),
        st.text(alphabet="abz019 .+-*/(<=>)'\"#", max_size=8),
    ),
    lambda inner: st.one_of(
        st.lists(inner, max_size=3).map(lambda items: f"[{', '.join(items)}]"),
        st.lists(st.tuples(st.sampled_from(["a", "value", "from", "kind", "at"]), inner), max_size=3).map(
            lambda pairs: "{" + ", ".join(f"{key}: {value}" for key, value in pairs) + "}"
        ),
    ),
    max_leaves=5,
)


@PROPERTY
@given(st.data())
def test_any_value_in_any_place(data: st.DataObject) -> None:
    lines = SMALL.split("\n")
    index = data.draw(st.integers(0, len(lines) - 2))
    key = lines[index].split(":")[0]
    lines[index] = f"{key}: {data.draw(ANY_VALUE)}"
    judge("\n".join(lines))


@PROPERTY
@given(st.text(max_size=80))
def test_any_text(text: str) -> None:
    judge(text)

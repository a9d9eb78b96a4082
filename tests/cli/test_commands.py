"""The commands as a user types them: what they print, what they leave, how they end."""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
from pathlib import Path

import pypdfium2
import pytest
from typer.testing import CliRunner

from planpress.cli.commands import app
from tests.plans import ROOT, SEEDLING_STAND

DEMO = str(SEEDLING_STAND.parent)


def planpress(*words: str, folder: Path = ROOT) -> subprocess.CompletedProcess[str]:
    """Run a command in a process of its own."""
    command = [sys.executable, "-c", "from planpress.cli import main; main()", *words]
    environment = {"PYTHONPATH": str(ROOT), "PATH": "", "PYTHONDONTWRITEBYTECODE": "1"}
    return subprocess.run(command, cwd=folder, env=environment, capture_output=True, text=True, check=False)


#: (what stands in the plan, what is written instead, what the message says, the text at its column)
FIVE_FAULTS = [
    ("gap:         {value: 3/4 in,", "gap:         {valu: 3/4 in,", "valu", "valu"),
    ("splay:       {value: 6 deg,", "splay:       {value: 6 degs,", "degs", "degs"),
    ("pitch: stick_thick + gap", "pitch: stick_thik + gap", "stick_thik", "stick_thik"),
    (
        "slats * stick_thick + (slats - 1) * gap",
        "slats * stick_thick + (slats - 1)",
        "cannot be added",
        "+ (slats - 1)",
    ),
    ("    material: square", "    material: sqare", "sqare", "sqare"),
]


def test_five_faults_give_five_messages_and_no_output(tmp_path: Path) -> None:
    text = SEEDLING_STAND.read_text(encoding="utf-8")
    for good, bad, _, _ in FIVE_FAULTS:
        assert good in text
        text = text.replace(good, bad)
    plan = tmp_path / "faulty" / "plan.yaml"
    plan.parent.mkdir()
    plan.write_text(text, encoding="utf-8")
    done = planpress("build", "faulty", "--out", "out", folder=tmp_path)
    assert done.returncode == 1
    assert done.stdout == ""
    assert "Traceback" not in done.stderr
    assert not (tmp_path / "out").exists()
    heads = re.findall(r"^faulty/plan\.yaml:(\d+):(\d+): error: (.*) \[[\w-]+\]$", done.stderr, re.MULTILINE)
    assert len(heads) == 5, done.stderr
    lines = text.splitlines()
    for _, bad, words, at_column in FIVE_FAULTS:
        line = next(i for i, one in enumerate(lines, start=1) if bad.strip() in one)
        ((column, message),) = [(int(column), message) for number, column, message in heads if int(number) == line]
        assert words in message
        assert lines[line - 1][column - 1 :].startswith(at_column)


@pytest.mark.parametrize(
    ("words", "status", "said"),
    [
        (("build", DEMO, "--set", "top_length"), 2, "write it as NAME=VALUE"),
        (("build", DEMO, "--set", "gap=1 in", "--set", "gap=2 in"), 2, "given twice"),
        (("build", DEMO, "--units", "cubits"), 2, "known: imperial, metric"),
        (("build", DEMO, "--paper", "a5"), 2, "known: letter, a4"),
        (("build", DEMO, "--wat"), 2, "--wat"),
        (("build",), 2, "PLAN"),
        (("build", DEMO, "--jobs", "0"), 2, "--jobs"),
        (("build", DEMO, "--set", "=3"), 2, "write it as NAME=VALUE"),
        (("build", DEMO, "--set", "slats="), 2, "write it as NAME=VALUE"),
        (("bild", DEMO), 2, "bild"),
        (("new", " "), 2, "give the new plan's folder a name"),
        (("build", DEMO, "--set", "slats=many"), 1, "setting slats to 'many'"),
        (("build", DEMO, "--set", "slats=9 in"), 1, "'slats' is a count, but a length was given"),
        (("check", DEMO, "--size", "balcon"), 1, "did you mean 'balcony'?"),
        (("build", "no-such-plan"), 1, "no such file"),
        (("build", DEMO, "--set", "slotz=3"), 1, "did you mean 'slats'?"),
        (("build", DEMO, "--set", "top_length=9 ft"), 1, "the maker vouches for at most 60 in"),
        (("build", DEMO, "--size", "balcon"), 1, "did you mean 'balcony'?"),
        (("check", DEMO, "--units", "cubits"), 2, "known: imperial, metric"),
        (("check", DEMO, "--set", "slats=5"), 1, "too narrow for the frames"),
    ],
)
def test_what_is_wrong_is_said_with_its_status(words: tuple[str, ...], status: int, said: str, tmp_path: Path) -> None:
    done = planpress(*words, *(["--out", str(tmp_path / "out")] if words[0] == "build" and len(words) > 1 else []))
    assert done.returncode == status, done.stderr
    assert said in done.stderr
    assert "Traceback" not in done.stderr
    assert not (tmp_path / "out").exists()


def test_new_then_build_then_no_second_new(tmp_path: Path) -> None:
    first = planpress("new", "boot-rack", folder=tmp_path)
    assert first.returncode == 0
    assert "boot-rack/plan.yaml" in first.stdout
    text = (tmp_path / "boot-rack" / "plan.yaml").read_text(encoding="utf-8")
    assert 'title: "Boot rack"' in text
    done = planpress("build", "boot-rack", "--units", "imperial", "--units", "metric", "--json", folder=tmp_path)
    assert done.returncode == 0, done.stderr
    editions = json.loads(done.stdout)["editions"]
    assert [Path(e["folder"]).name for e in editions] == ["imperial-letter", "metric-a4"]
    assert all((tmp_path / e["plan_set"]).read_bytes().startswith(b"%PDF-1.7") for e in editions)
    again = planpress("new", "boot-rack", folder=tmp_path)
    assert again.returncode == 2
    assert "nothing was changed" in again.stderr
    assert (tmp_path / "boot-rack" / "plan.yaml").read_text(encoding="utf-8") == text


def test_check_says_what_it_found_and_writes_nothing(tmp_path: Path) -> None:
    done = planpress("check", DEMO, folder=tmp_path)
    assert done.returncode == 0
    assert "no faults" in done.stdout
    assert list(tmp_path.iterdir()) == []


def test_answers_for_programs_are_json_whatever_happens(tmp_path: Path) -> None:
    for command in ("check", "build"):
        done = planpress(command, DEMO, "--json", "--set", "gap=2 in", folder=tmp_path)
        assert (done.returncode, done.stderr) == (1, "")
        assert [d["code"] for d in json.loads(done.stdout)["diagnostics"]] == ["out-of-range"]
    assert list(tmp_path.iterdir()) == []
    done = planpress("check", DEMO, "--json")
    assert done.returncode == 0
    found = json.loads(done.stdout)["diagnostics"]
    assert found
    keys = {"code", "severity", "message", "file", "line", "column", "expected", "hint"}
    assert all(set(item) == keys for item in found)


def test_warnings_are_printed_but_do_not_stop_a_build(tmp_path: Path) -> None:
    assert planpress("new", "rack", folder=tmp_path).returncode == 0
    file = tmp_path / "rack" / "plan.yaml"
    text = file.read_text(encoding="utf-8").replace("maker: Demo Workshop\n", f"maker: {'Demo Workshop ' * 9}\n")
    file.write_text(text, encoding="utf-8")
    for words in (("check", "rack"), ("build", "rack")):
        done = planpress(*words, folder=tmp_path)
        assert done.returncode == 0, done.stderr
        assert re.search(r"^rack/plan\.yaml:8:8: warning: .* \[long-text\]$", done.stderr, re.MULTILINE), done.stderr
        assert done.stdout.startswith("no faults" if words[0] == "check" else "build/rack/imperial-letter/rack-imp")


def test_a_pipe_gets_the_result_and_nothing_else(tmp_path: Path) -> None:
    done = planpress("build", DEMO, "--units", "metric", "--paper", "a4", "--size", "balcony", folder=tmp_path)
    assert (done.returncode, done.stderr) == (0, "")
    pages = re.fullmatch(
        r"build/seedling-stand/metric-a4-balcony/seedling-stand-metric-a4-balcony\.pdf  \((\d+) pages\)\n", done.stdout
    )
    assert pages, done.stdout
    folder = tmp_path / "build" / "seedling-stand" / "metric-a4-balcony"
    with pypdfium2.PdfDocument(folder / "seedling-stand-metric-a4-balcony.pdf") as pdf:
        assert len(pdf) == int(pages[1])
        assert [round(size / 72 * 25.4) for size in pdf[0].get_size()] == [210, 297]
        assert "Millimetres, A4, balcony" in pdf[0].get_textpage().get_text_range()
    record = json.loads((folder / "edition.json").read_text(encoding="utf-8"))
    assert (record["units"], record["paper"], record["size"]) == ("metric", "a4", "balcony")


@pytest.mark.skipif(sys.platform == "win32", reason="a terminal of our own needs a POSIX system")
def test_a_terminal_is_told_how_far_the_build_is(tmp_path: Path) -> None:
    import pty

    ours, theirs = pty.openpty()
    command = [sys.executable, "-m", "planpress", "build", DEMO, "--out", str(tmp_path)]
    environment = {"PYTHONPATH": str(ROOT), "PATH": "", "TERM": "xterm", "PYTHONDONTWRITEBYTECODE": "1"}
    with subprocess.Popen(command, cwd=ROOT, env=environment, stdout=subprocess.PIPE, stderr=theirs) as build:
        os.close(theirs)
        said = b"".join(iter(lambda: read(ours), b""))
        assert build.wait() == 0
    os.close(ours)
    assert b"imperial-letter: checking and drawing" in said
    assert b"Traceback" not in said


def read(terminal: int) -> bytes:
    """What a terminal has to give; nothing at its end, which Linux tells as an error."""
    try:
        return os.read(terminal, 4096)
    except OSError:
        return b""


def test_messages_hold_no_signs_that_only_our_pages_have() -> None:
    for words in (("check", DEMO), ("check", DEMO, "--json")):
        done = planpress(*words)
        text = done.stderr if len(words) == 2 else "".join(d["message"] for d in json.loads(done.stdout)["diagnostics"])
        assert re.search(r"\d/\d", text)
        assert not re.search("[\ue000-\uf8ff]", text)


def test_a_bug_is_not_taken_for_a_wrong_command(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """Only what the user can mend is said in a line; anything else keeps its traceback."""

    def broken(*_: object, **__: object) -> None:
        raise ValueError("a column ends in the foot")

    monkeypatch.setattr("planpress.pages.compose", broken)
    result = CliRunner().invoke(app, ["build", DEMO, "--out", str(tmp_path / "out"), "--jobs", "1"])
    assert isinstance(result.exception, ValueError)
    assert not (tmp_path / "out").exists()


def test_help_and_version_need_nothing_heavy() -> None:
    assert planpress("--version").stdout.startswith("planpress ")
    script = "import sys; from planpress.cli import main\ntry: main()\nexcept SystemExit: pass\n"
    script += "print(sorted({'numpy', 'reportlab', 'manifold3d', 'jinja2', 'yaml'} & set(sys.modules)))"
    done = subprocess.run(
        [sys.executable, "-c", script, "--help"], cwd=ROOT, capture_output=True, text=True, check=False
    )
    assert "build" in done.stdout
    assert done.stdout.strip().endswith("[]")


def test_a_folder_that_cannot_be_written_is_said_plainly(tmp_path: Path) -> None:
    (tmp_path / "taken").write_text("a file, not a folder", encoding="utf-8")
    done = planpress("build", DEMO, "--out", str(tmp_path / "taken"))
    assert done.returncode == 2
    assert "cannot write" in done.stderr
    assert "Traceback" not in done.stderr

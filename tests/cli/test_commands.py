"""The commands as a user types them: what they print, what they leave, how they end."""

from __future__ import annotations

import json
import re
import subprocess
import sys
from pathlib import Path

import pytest

from tests.plans import ROOT, SEEDLING_STAND

DEMO = str(SEEDLING_STAND.parent)


def planpress(*words: str, folder: Path = ROOT) -> subprocess.CompletedProcess[str]:
    """Run a command in a process of its own."""
    command = [sys.executable, "-c", "from planpress.cli import main; main()", *words]
    environment = {"PYTHONPATH": str(ROOT), "PATH": "", "PYTHONDONTWRITEBYTECODE": "1"}
    return subprocess.run(command, cwd=folder, env=environment, capture_output=True, text=True, check=False)


FIVE_FAULTS = [
    ("gap:         {value: 3/4 in,", "gap:         {valu: 3/4 in,", "valu"),
    ("splay:       {value: 6 deg,", "splay:       {value: 6 degs,", "degs"),
    ("pitch: stick_thick + gap", "pitch: stick_thik + gap", "stick_thik"),
    ("slats * stick_thick + (slats - 1) * gap", "slats * stick_thick + (slats - 1)", "cannot be added"),
    ("    material: square", "    material: sqare", "sqare"),
]


def test_five_faults_give_five_messages_and_no_output(tmp_path: Path) -> None:
    text = SEEDLING_STAND.read_text(encoding="utf-8")
    for good, bad, _ in FIVE_FAULTS:
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
    for _, bad, words in FIVE_FAULTS:
        line = next(i for i, one in enumerate(lines, start=1) if bad.strip() in one)
        found = [message for number, _, message in heads if int(number) == line]
        assert len(found) == 1, (bad, heads)
        assert words in found[0]
    for number, column, _ in heads:
        assert 1 <= int(column) <= len(lines[int(number) - 1])


@pytest.mark.parametrize(
    ("words", "status", "said"),
    [
        (("build", DEMO, "--set", "top_length"), 2, "write it as NAME=VALUE"),
        (("build", DEMO, "--set", "gap=1 in", "--set", "gap=2 in"), 2, "given twice"),
        (("build", DEMO, "--units", "cubits"), 2, "known: imperial, metric"),
        (("build", DEMO, "--paper", "a5"), 2, "known: letter, a4"),
        (("build", DEMO, "--wat"), 2, "--wat"),
        (("build",), 2, "PLAN"),
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
    answer = json.loads(planpress("check", DEMO, "--json", "--set", "gap=2 in").stdout)
    assert [d["code"] for d in answer["diagnostics"]] == ["out-of-range"]


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

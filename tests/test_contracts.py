"""The import contracts, the style rules and the types are part of the tests."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).parent.parent


def run(*words: str) -> tuple[int, str]:
    """Exit status and output of a module run in the project's folder."""
    done = subprocess.run([sys.executable, "-m", *words], cwd=ROOT, capture_output=True, text=True, check=False)
    return done.returncode, done.stdout + done.stderr


def test_each_floor_imports_only_what_stands_below_it() -> None:
    script = "from importlinter.cli import lint_imports_command; lint_imports_command()"
    done = subprocess.run(
        [sys.executable, "-c", script, "--no-cache"], cwd=ROOT, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stdout
    assert "0 broken" in done.stdout


def test_style_rules_hold() -> None:
    status, output = run("ruff", "check", "--no-cache", ".")
    assert status == 0, output
    status, output = run("ruff", "format", "--check", "--no-cache", ".")
    assert status == 0, output


def test_types_hold() -> None:
    status, output = run("mypy", "--cache-dir", ".mypy_cache")
    assert status == 0, output

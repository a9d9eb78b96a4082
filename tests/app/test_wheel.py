"""What is installed: everything a build needs, and no tests."""

from __future__ import annotations

import configparser
import os
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest

from tests.plans import ROOT

pytest.importorskip("hatchling", reason="builds the wheel")


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The wheel of this checkout."""
    out = tmp_path_factory.mktemp("wheel")
    command = [sys.executable, "-m", "hatchling", "build", "-t", "wheel", "-d", str(out)]
    subprocess.run(command, cwd=ROOT, check=True, capture_output=True)
    (found,) = out.glob("*.whl")
    return found


def test_a_wheel_holds_the_package_and_its_texts_and_no_more(wheel: Path) -> None:
    package = {p.relative_to(ROOT).as_posix() for p in (ROOT / "planpress").rglob("*.py")}
    texts = {f"planpress/templates/{p.name}" for p in (ROOT / "templates").iterdir()}
    assert {"planpress/templates/cover.j2", "planpress/templates/new_plan.yaml"} <= texts
    with zipfile.ZipFile(wheel) as archive:
        names = {name for name in archive.namelist() if ".dist-info/" not in name}
        (points,) = (name for name in archive.namelist() if name.endswith("/entry_points.txt"))
        commands = configparser.ConfigParser()
        commands.read_string(archive.read(points).decode())
    assert names == package | texts | {"planpress/py.typed"}
    assert dict(commands["console_scripts"]) == {"planpress": "planpress.cli:main"}


def test_what_is_installed_starts_and_builds_a_plan(wheel: Path, tmp_path: Path) -> None:
    site = tmp_path / "site"
    with zipfile.ZipFile(wheel) as archive:
        archive.extractall(site)
    environment = {**os.environ, "PYTHONPATH": str(site)}

    def run(*words: str) -> str:
        done = subprocess.run(
            [sys.executable, *words], cwd=tmp_path, env=environment, check=True, capture_output=True, text=True
        )
        return done.stdout.strip()

    assert run("-c", "import planpress; print(planpress.__file__)") == str(site / "planpress" / "__init__.py")
    run("-m", "planpress", "new", "rack")
    run("-m", "planpress", "build", "rack")
    built = tmp_path / "build" / "rack" / "imperial-letter"
    assert sorted(p.name for p in built.iterdir()) == ["edition.json", "parts.csv", "rack-imperial-letter.pdf"]

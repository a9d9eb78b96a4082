"""Files: the only place that reads and writes them. An edition's folder appears whole or not at all."""

from __future__ import annotations

import os
import shutil
from collections.abc import Mapping
from importlib import resources
from pathlib import Path

from planpress.base.diagnostics import Diagnostic, Place, PlanFaults, Severity

PLAN_FILE = "plan.yaml"


def plan_path(path: str | Path) -> Path:
    """The description's file: the path itself, or `plan.yaml` in the folder it names."""
    given = Path(path)
    return given / PLAN_FILE if given.is_dir() else given


def read_plan(path: Path) -> str:
    """The text of a description.

    Raises:
        PlanFaults: if the file is missing, unreadable or not UTF-8.
    """
    try:
        return path.read_bytes().decode("utf-8-sig")
    except FileNotFoundError:
        problem, hint = "no such file", f"give a plan's folder or its {PLAN_FILE}; `planpress new NAME` starts one"
    except UnicodeDecodeError as fault:
        problem, hint = f"byte {fault.start + 1} is not UTF-8 text", "save the file as UTF-8"
    except OSError as fault:
        problem, hint = fault.strerror or "cannot be read", ""
    raise PlanFaults([Diagnostic("file", Severity.ERROR, problem, Place(str(path), 1, 1), hint=hint)])


def templates_folder() -> Path:
    """Where the texts are: beside the package in a checkout, inside it when installed."""
    package = Path(str(resources.files("planpress")))
    inside, beside = package / "templates", package.parent / "templates"
    return inside if inside.is_dir() else beside


def read_texts() -> dict[str, str]:
    """All text templates by file name, sorted."""
    folder = templates_folder()
    return {p.name: p.read_text(encoding="utf-8") for p in sorted(folder.iterdir()) if p.suffix in (".j2", ".yaml")}


def write_folder(target: Path, files: Mapping[str, bytes]) -> None:
    """Write a folder of files so that it appears whole: beside its place first, then put there in one step.

    What stood there before is replaced; if anything fails, it stays as it was.
    """
    target.parent.mkdir(parents=True, exist_ok=True)
    fresh = target.parent / f".{target.name}.new-{os.getpid()}"
    old = target.parent / f".{target.name}.old-{os.getpid()}"
    _restore_interrupted(target)
    shutil.rmtree(fresh, ignore_errors=True)
    try:
        for name, content in files.items():
            path = fresh / name
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_bytes(content)
        if target.exists():
            target.rename(old)
        try:
            fresh.rename(target)
        except OSError:
            if old.exists():
                old.rename(target)
            raise
    finally:
        shutil.rmtree(fresh, ignore_errors=True)
    shutil.rmtree(old, ignore_errors=True)


def _restore_interrupted(target: Path) -> None:
    """Mend what a killed run left between its two renames: the last good edition goes back to its place."""
    for left in sorted(target.parent.glob(f".{target.name}.old-*")):
        if target.exists():
            shutil.rmtree(left, ignore_errors=True)
        else:
            left.rename(target)


def start_plan(folder: Path) -> Path:
    """Write the description that `planpress new` starts with.

    Raises:
        FileExistsError: if the folder holds a plan already.
    """
    path = folder / PLAN_FILE
    if path.exists():
        raise FileExistsError(str(path))
    title = folder.name.replace("-", " ").replace("_", " ").strip()
    text = (templates_folder() / "new_plan.yaml").read_text(encoding="utf-8")
    folder.mkdir(parents=True, exist_ok=True)
    path.write_text(text.replace("@TITLE@", title[:1].upper() + title[1:]), encoding="utf-8")
    return path

"""Files: the only place that reads and writes them. An edition's folder appears whole or not at all."""

from __future__ import annotations

import contextlib
import errno
import json
import os
import shutil
from collections.abc import Mapping
from importlib import resources
from pathlib import Path

from planpress.base.diagnostics import Diagnostic, Place, PlanFaults, Severity

PLAN_FILE = "plan.yaml"
_MOST_ATTEMPTS = 20


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

    A folder that stood there before is replaced; if anything fails, it stays as it was. Of two runs that write the
    same folder at once, the later one's stays.

    Raises:
        OSError: if it cannot be written, or something that is no folder has its name.
    """
    if target.is_file():  # asked once: another run may be moving it
        raise NotADirectoryError(errno.ENOTDIR, os.strerror(errno.ENOTDIR), str(target))
    target.parent.mkdir(parents=True, exist_ok=True)
    fresh, old = _beside(target, "new", os.getpid()), _beside(target, "old", os.getpid())
    _mend_interrupted(target)
    _remove(fresh)
    try:
        for name, content in files.items():
            path = fresh / name
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_bytes(content)
        _put(fresh, target, old)
    finally:
        _remove(fresh)
    _remove(old)


def _put(fresh: Path, target: Path, old: Path) -> None:
    """Move what stands at `target` to `old` and `fresh` to `target`; again if another run was quicker."""
    for attempt in range(_MOST_ATTEMPTS):
        _remove(old)
        with contextlib.suppress(FileNotFoundError):
            target.rename(old)
        try:
            fresh.rename(target)
            return
        except OSError as fault:
            if fault.errno in (errno.ENOTEMPTY, errno.EEXIST) and attempt < _MOST_ATTEMPTS - 1:
                continue
            with contextlib.suppress(OSError):  # another run has put its own there: that one stays
                old.rename(target)
            raise


def _beside(target: Path, kind: str, process: int | str) -> Path:
    """Where a process keeps what it is writing ("new") or replacing ("old")."""
    return target.parent / f".{target.name}.{kind}-{process}"


def _mend_interrupted(target: Path) -> None:
    """Mend what a killed run left: the last good edition goes back to its place, half-written files go."""
    for kind in ("old", "new"):
        pattern = _beside(target, kind, "*").name
        for left in sorted(target.parent.glob(pattern)):
            if _is_running(left.name.rpartition("-")[2]):
                continue
            if kind == "old" and not target.exists():
                left.rename(target)
            else:
                _remove(left)


def _is_running(process: str) -> bool:
    """True if the process is at work, or that cannot be told."""
    if not process.isdecimal() or os.name == "nt":  # on Windows, asking like this would end it
        return True
    try:
        os.kill(int(process), 0)
    except (ProcessLookupError, OverflowError):
        return False
    except PermissionError:
        return True
    return int(process) != os.getpid()


def _remove(path: Path) -> None:
    """Remove a folder, or a link to one, if it is there."""
    if path.is_symlink():
        path.unlink()
    else:
        shutil.rmtree(path, ignore_errors=True)


def start_plan(folder: Path) -> Path:
    """Write the description that `planpress new` starts with.

    Raises:
        FileExistsError: if the folder holds a plan already.
    """
    path = folder / PLAN_FILE
    if path.exists():
        raise FileExistsError(str(path))
    title = folder.resolve().name.replace("-", " ").replace("_", " ").strip() or "New plan"
    text = (templates_folder() / "new_plan.yaml").read_text(encoding="utf-8")
    folder.mkdir(parents=True, exist_ok=True)
    quoted = json.dumps(title[:1].upper() + title[1:], ensure_ascii=False)  # reads the same as YAML
    path.write_text(text.replace('"@TITLE@"', quoted), encoding="utf-8")
    return path

"""The commands and their options. What they need is imported when they run, so that help comes at once."""

from __future__ import annotations

import json
import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from planpress.app.plan import Built
    from planpress.base.diagnostics import Diagnostic

DONE, FAULTS, WRONG_COMMAND = 0, 1, 2

app = typer.Typer(
    help="From one description of a piece of furniture to a printable plan set.",
    no_args_is_help=True,
    add_completion=False,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
)

PlanPath = Annotated[str, typer.Argument(metavar="PLAN", help="Folder of a plan, or its plan.yaml.")]
Settings = Annotated[
    list[str] | None,
    typer.Option("--set", metavar="NAME=VALUE", help='Another value for a parameter: --set top_length="52 in".'),
]
Sizes = Annotated[list[str] | None, typer.Option("--size", metavar="NAME", help="One of the plan's own sizes.")]
UnitSystems = Annotated[
    list[str] | None, typer.Option("--units", metavar="SYSTEM", help="imperial or metric; may be given twice.")
]
Papers = Annotated[list[str] | None, typer.Option("--paper", metavar="PAPER", help="letter or a4; may be given twice.")]
Json = Annotated[bool, typer.Option("--json", help="Answer as JSON on standard output.")]


@app.callback(invoke_without_command=True)
def top(
    context: typer.Context, version: Annotated[bool, typer.Option("--version", help="Print the version.")] = False
) -> None:
    """From one description of a piece of furniture to a printable plan set."""
    if version:
        from planpress import __version__

        typer.echo(f"planpress {__version__}")
        raise typer.Exit(DONE)
    if context.invoked_subcommand is None:
        typer.echo(context.get_help())


@app.command()
def build(
    plan: PlanPath,
    settings: Settings = None,
    size: Sizes = None,
    units: UnitSystems = None,
    paper: Papers = None,
    jobs: Annotated[
        int, typer.Option("--jobs", metavar="N", min=1, help="Processes at work; 1 for one only.")
    ] = os.cpu_count() or 1,
    out: Annotated[Path, typer.Option("--out", metavar="FOLDER", help="Where the plan sets go.")] = Path("build"),
    as_json: Json = False,
) -> None:
    """Write the plan set of one or several editions into FOLDER/<plan>/<edition>/."""
    from planpress.app.editions import requests
    from planpress.app.plan import load
    from planpress.base.diagnostics import PlanFaults

    chosen = _settings(settings)
    try:
        requests(units or (), paper or ())
    except ValueError as fault:  # from the command's words only: elsewhere it would be a bug, which keeps its traceback
        raise _wrong(str(fault)) from None
    try:
        with _progress(quiet=as_json) as tell:
            built = load(plan).build(
                out, units=units or (), paper=paper or (), size=size or (), settings=chosen, report=tell, jobs=jobs
            )
    except PlanFaults as faults:
        _print_faults(faults.diagnostics, as_json)
        raise typer.Exit(FAULTS) from None
    except OSError as fault:
        raise _wrong(f"cannot write: {fault.filename or out}: {fault.strerror}") from None
    _print_built(built, as_json)


@app.command()
def check(
    plan: PlanPath,
    settings: Settings = None,
    size: Annotated[str, typer.Option("--size", metavar="NAME", help="One of the plan's own sizes.")] = "",
    units: Annotated[str, typer.Option("--units", metavar="SYSTEM", help="imperial or metric.")] = "imperial",
    as_json: Json = False,
) -> None:
    """Say everything that is wrong with a plan, or doubtful, with its place; write nothing."""
    from planpress.app.plan import load
    from planpress.base.diagnostics import PlanFaults, Severity

    if units not in ("imperial", "metric"):
        raise _wrong(f"no unit system '{units}'; known: imperial, metric")
    try:
        found = load(plan).check(units, size, _settings(settings))
    except PlanFaults as faults:
        found = list(faults.diagnostics)
    _print_faults(found, as_json)
    faulty = sum(d.severity is Severity.ERROR for d in found)
    if not as_json:
        words = "no faults" if not faulty else f"{faulty} fault{'s' if faulty > 1 else ''}"
        typer.echo(words, err=bool(faulty))
    raise typer.Exit(FAULTS if faulty else DONE)


@app.command()
def new(name: Annotated[str, typer.Argument(metavar="NAME", help="Folder of the new plan.")]) -> None:
    """Start a plan: a small description with comments, which builds as it is."""
    from planpress.app.files import start_plan

    if not name.strip():
        raise _wrong("new: give the new plan's folder a name")
    try:
        path = start_plan(Path(name))
    except FileExistsError as fault:
        raise _wrong(f"{fault} exists already; nothing was changed") from None
    except OSError as fault:
        raise _wrong(f"cannot write {name}: {fault.strerror}") from None
    typer.echo(f"{path}\nnext: planpress build {path.parent}")


def _settings(given: Sequence[str] | None) -> dict[str, str]:
    """NAME=VALUE pairs as a mapping."""
    out: dict[str, str] = {}
    for pair in given or ():
        name, sign, value = pair.partition("=")
        if not sign or not name.strip() or not value.strip():
            raise _wrong(f"--set {pair}: write it as NAME=VALUE, for example --set top_length=52in")
        if name.strip() in out:
            raise _wrong(f"--set {name.strip()} is given twice")
        out[name.strip()] = value.strip()
    return out


def _wrong(words: str) -> typer.Exit:
    """The command itself was wrong: say so, status 2."""
    typer.echo(f"planpress: {words}", err=True)
    return typer.Exit(WRONG_COMMAND)


@contextmanager
def _progress(quiet: bool) -> Iterator[Callable[[str], None]]:
    """A line of progress on a terminal; silence in a pipe."""
    if quiet or not sys.stderr.isatty():
        yield lambda words: None
        return
    from rich.console import Console

    console = Console(stderr=True)
    with console.status("reading the plan") as status:
        yield lambda words: status.update(words)


def _readable(item: Diagnostic) -> str:
    """A diagnostic as text; its stacked fractions, which only our pages have signs for, spelled out."""
    from planpress.base.diagnostics import render
    from planpress.base.lettering import plain

    return plain(render(item))


def _record(item: Diagnostic) -> dict[str, str | int | None]:
    """A diagnostic for JSON, in readable characters."""
    from planpress.base.lettering import plain

    return {key: plain(value) if isinstance(value, str) else value for key, value in item.as_dict().items()}


def _print_json(answer: dict[str, Any]) -> None:
    """In ASCII, so that no terminal or pipe can fail to take it."""
    typer.echo(json.dumps(answer, indent=2))


def _print_faults(found: Sequence[Diagnostic], as_json: bool) -> None:
    if as_json:
        _print_json({"diagnostics": [_record(d) for d in found]})
        return
    for item in found:
        typer.echo(_readable(item), err=True)


def _print_built(built: Sequence[Built], as_json: bool) -> None:
    from planpress.base.diagnostics import Severity

    if as_json:
        editions: list[dict[str, Any]] = [
            {
                "folder": str(b.folder),
                "plan_set": str(b.plan_set),
                "files": list(b.files),
                "pages": b.pages,
                "diagnostics": [_record(d) for d in b.warnings],
            }
            for b in built
        ]
        _print_json({"editions": editions})
        return
    for edition in built:
        for item in edition.warnings:
            if item.severity is Severity.WARNING:
                typer.echo(_readable(item), err=True)
        typer.echo(f"{edition.plan_set}  ({edition.pages} pages)")

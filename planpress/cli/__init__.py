"""Floor 8: the commands. Exit status: 0 done, 1 the plan has faults, 2 the command was wrong."""

from __future__ import annotations


def main() -> None:
    """Run the command line."""
    import gc

    from planpress.cli.commands import app

    gc.disable()  # a command ends soon and makes little garbage; collecting costs it a tenth of its time

    app(prog_name="planpress")

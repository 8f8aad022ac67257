"""Where the program begins: the screen at once when nothing else is asked for, else the command line."""

from __future__ import annotations

import os
import sys
from pathlib import Path


def run() -> None:
    """The console script `buildbook`. Without a word, at a terminal, nothing is imported but what the screen needs."""
    for stream in (sys.stdout, sys.stderr):
        # A terminal that has no ohm sign shows its number instead of ending the program.
        stream.reconfigure(errors="backslashreplace")  # type: ignore[union-attr]
    if not sys.argv[1:]:
        from buildbook.cli.screen import at_terminal, open_screen

        if at_terminal():
            open_screen(place())
            return
    from buildbook.cli.main import app

    app()


def place() -> Path:
    """The workshop that is meant when nothing is said."""
    if named := os.environ.get("BUILDBOOK_DB"):
        return Path(named)
    from buildbook.actions.workshop import default_place

    return default_place()

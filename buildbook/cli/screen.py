"""Opening the screen from the command line, where there is a terminal to open it on."""

from __future__ import annotations

import sys
from dataclasses import replace
from pathlib import Path

from buildbook.errors import BadInput


def at_terminal() -> bool:
    """Whether somebody sits at a terminal: what is printed is seen, and keys can be pressed."""
    return sys.stdin.isatty() and sys.stdout.isatty()


def open_screen(path: Path, *, theme: str = "", ascii_only: bool = False) -> None:
    """Show the workshop on the screen until it is left; a theme named here is used from now on."""
    from buildbook.tui.app import BuildbookApp
    from buildbook.tui.settings import keep_settings, read_settings, settings_place
    from buildbook.tui.themes import NAMES

    if theme and theme not in NAMES:
        raise BadInput(f"There is no theme {theme[:40]}.", f"There are {' and '.join(NAMES)}.", "Name one of them.")
    place = settings_place()
    settings = read_settings(place)
    if theme and theme != settings.theme:
        settings = replace(settings, theme=theme)
        keep_settings(place, settings)
    if ascii_only:
        settings = replace(settings, ascii=True)
    app = BuildbookApp(path, settings=settings, settings_at=place, demo=demo, told=told)
    app.run()
    if app.return_code:
        raise SystemExit(app.return_code)


def demo() -> Path:
    """The demo workshop, made if it is not there."""
    from buildbook.cli.demo import demo_at

    return demo_at(None, silent=True)


def told(error: Exception) -> str:
    """One sentence for a mistake of our own, with the file that holds the rest."""
    from buildbook.cli import main

    return main.told(error)

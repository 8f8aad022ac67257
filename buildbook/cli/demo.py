"""The demo workshop: where it lies, and how it is made when it is not there yet."""

from __future__ import annotations

import importlib.util
import os
from collections.abc import Callable
from contextlib import nullcontext
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING

from buildbook.cli.frame import is_absent, opened
from buildbook.cli.show import progress, say
from buildbook.cli.workshop import print_overview
from buildbook.errors import Forbidden, StoreFault

if TYPE_CHECKING:
    from buildbook.actions.workshop import Workshop

# The first entry of its log, by which a demo workshop is known again.
FIRST_MOMENT = datetime(2026, 9, 5, 8, 0, tzinfo=UTC)
FIRST_NOTE = "This is the demo workshop: everything in it is invented."


def open_demo(db: Path | None, *, as_json: bool) -> None:
    """Say how the demo workshop stands, after making it at `db` or at its own place if it is not there."""
    from buildbook.answers.workshop import overview

    path = demo_at(db)
    with opened(path) as shop:
        answer = overview(shop)
    print_overview(answer, as_json=as_json)
    if not as_json:
        say(f"The demo workshop is {path}; look around in it with --db, or with BUILDBOOK_DB set to it.", apart=True)


def demo_at(db: Path | None, *, silent: bool = False) -> Path:
    """Where the demo workshop lies: at `db` or at its own place, made now if it is not there.

    Raises Forbidden when a workshop of the user's own is there. `silent` shows no progress on the terminal.
    """
    from buildbook.actions.workshop import demo_place

    path = db or demo_place()
    if is_absent(path) or _is_empty(path):
        make_demo(path, silent=silent)
    with opened(path) as shop:
        if not is_demo(shop):
            raise Forbidden(
                f"The demo was not put into {path}.",
                "That is a workshop of your own.",
                "Name an empty file with --db, or none.",
            )
    return path


def _is_empty(path: Path) -> bool:
    from buildbook.answers.workshop import overview

    with opened(path) as shop:
        answer = overview(shop)
    return not (answer.projects or answer.parts or answer.last_done)


def is_demo(shop: Workshop) -> bool:
    """Whether the first thing ever written down here says that it is the demo."""
    from buildbook.answers.log import first_note

    return first_note(shop) == FIRST_NOTE


def make_demo(path: Path, *, silent: bool = False) -> None:
    """Make the demo workshop beside `path` and move it there when it is whole."""
    from buildbook.actions import log
    from buildbook.actions.attachments import bring_along, drop_all
    from buildbook.actions.workshop import open_workshop

    build = builder()
    unfinished = path.with_name(f"{path.name}.unfinished")
    unfinished.unlink(missing_ok=True)
    drop_all(unfinished)
    try:
        with nullcontext() if silent else progress("Making the demo workshop"):
            shop = open_workshop(unfinished, clock=lambda: FIRST_MOMENT, durable=False)
            try:
                log.note(shop, FIRST_NOTE)
                # Something in it is under way at this very hour.
                shop.clock = lambda: datetime.now(UTC)
                build(shop)
            finally:
                shop.close()
        bring_along(unfinished, path)
        os.replace(unfinished, path)
    finally:
        unfinished.unlink(missing_ok=True)
        drop_all(unfinished)


def builder() -> Callable[[Workshop], object]:
    """The function `build(shop)` of the demo's own short program, shipped in the package or beside it in a checkout."""
    package = Path(__file__).resolve().parent.parent
    for folder in (package / "_demo", package.parent / "demo_db"):
        spec = importlib.util.spec_from_file_location("buildbook_demo", folder / "build.py")
        if (folder / "build.py").is_file() and spec and spec.loader:
            module = importlib.util.module_from_spec(spec)
            spec.loader.exec_module(module)
            found: Callable[[Workshop], object] = module.build
            return found
    raise StoreFault(
        "The demo workshop could not be made.", "Its lists are not part of this installation.", "Install it again."
    )

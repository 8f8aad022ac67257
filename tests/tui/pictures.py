"""Pictures of the screen: `python -m tests.tui.pictures` draws them all anew from the running program."""

from __future__ import annotations

import asyncio
import os
import shutil
import sys
import tempfile
import time
from collections.abc import AsyncIterator, Iterator, Sequence
from contextlib import ExitStack, contextmanager
from datetime import datetime, tzinfo
from difflib import unified_diff
from pathlib import Path
from typing import NamedTuple, Self
from unittest.mock import patch

from buildbook.cli.demo import make_demo
from buildbook.store.workshop import open_workshop
from buildbook.tui.bars import MessageLine
from buildbook.tui.panel import REST_S
from buildbook.tui.places import PLACES, SIGNS
from buildbook.tui.settings import Settings
from buildbook.tui.themes import DARK, LIGHT, NAMES
from tests.bench.huge import copy_of, huge_workshop
from tests.tui.conftest import Seat, seated
from tests.tui.svg import lines_of, picture

HERE = Path(__file__).resolve().parent
KEPT = {".svg": HERE / "pictures", ".txt": HERE / "looks"}
RENEW = "If it is meant to look so, draw it anew with: python -m tests.tui.pictures"
WORKSHOPS = ("empty", "demo", "huge")
SIZES = ((80, 24), (120, 40), (200, 60))
# The huge workshop in small: 10 projects, 1,000 parts.
SCALE = 0.05
NOW = datetime.fromisoformat("2026-11-28T18:00:00+00:00")


class Sitting(NamedTuple):
    """One time that the program is opened: on which workshop, and how large the terminal is."""

    workshop: str
    size: tuple[int, int]

    def __str__(self) -> str:
        return f"{self.workshop}-{self.size[0]}x{self.size[1]}"


class Scene(NamedTuple):
    """A picture for the README: a theme, and the keys that lead there; "/4k7" stands for a text typed to narrow."""

    name: str
    theme: str
    keys: tuple[str, ...]


SITTINGS = tuple(Sitting(workshop, size) for workshop in WORKSHOPS for size in SIZES)
SCENES = (
    Scene("readme-bench", DARK, ("1", "enter")),
    Scene("readme-stores", LIGHT, ("3", "/4k7", "enter")),
    Scene("readme-section", DARK, ("2", "/audio", "enter")),
)
SCENE_SIZE = (100, 28)


class Still(datetime):
    """A clock that stands still, for what the screen says about today."""

    @classmethod
    def now(cls, tz: tzinfo | None = None) -> Self:
        """Always the same moment."""
        return cls.fromtimestamp(NOW.timestamp(), tz)


@contextmanager
def standing_still() -> Iterator[None]:
    """The same moment, time zone and colours wherever and whenever the pictures are drawn."""
    list(PLACES)
    modules = [module for name, module in sys.modules.items() if name.startswith("buildbook.")]
    kept = {name: os.environ.pop(name, None) for name in ("TZ", "NO_COLOR")}
    os.environ["TZ"] = "UTC"
    time.tzset()
    try:
        with ExitStack() as stack:
            for module in modules:
                if getattr(module, "datetime", None) is datetime:
                    stack.enter_context(patch.object(module, "datetime", Still))
            yield
    finally:
        del os.environ["TZ"]
        os.environ.update({name: value for name, value in kept.items() if value is not None})
        time.tzset()


def workshop_file(name: str, folder: Path) -> Path:
    """A workshop in that folder: an empty one, the demo, or the huge one in small; made if it is not there."""
    path = folder / f"{name}.db"
    if not path.exists():
        if name == "empty":
            open_workshop(path).close()
        elif name == "demo":
            make_demo(path, silent=True)
        else:
            copy_of(huge_workshop(SCALE), path)
    return path


# --- drawing ---------------------------------------------------------------------------------------------------------


async def places(sitting: Sitting, path: Path) -> AsyncIterator[tuple[str, str]]:
    """The six places in every theme, as the picture's file name and its SVG."""
    async with seated(path, size=sitting.size) as seat:
        for theme in NAMES:
            seat.app.use_theme(theme)
            for sign in SIGNS:
                await seat.press(sign.key)
                await settle(seat)
                yield f"{sitting}-{theme}-{sign.name.lower()}.svg", picture(seat.app)


async def scenes(demo: Path) -> AsyncIterator[tuple[str, str]]:
    """The pictures for the README."""
    for scene in SCENES:
        async with seated(demo, size=SCENE_SIZE, settings=Settings(scene.theme)) as seat:
            for key in scene.keys:
                if key.startswith("/"):
                    await seat.press("slash")
                    await seat.type(key[1:])
                    await seat.press("enter")
                else:
                    await seat.press(key)
            await settle(seat)
            yield f"{scene.name}.svg", picture(seat.app)


async def plain_looks(demo: Path) -> AsyncIterator[tuple[str, str]]:
    """The six places with plain signs only, the selected row of each opened, as text."""
    async with seated(demo, settings=Settings(ascii=True)) as seat:
        for sign in SIGNS:
            await seat.press(sign.key)
            await settle(seat)
            await seat.press("enter")
            await settle(seat)
            yield f"ascii-80x24-{sign.name.lower()}.txt", f"{seat.seen()}\n"


async def settle(seat: Seat) -> None:
    """Wait for what stands beside the list, which follows the selection a moment later; nothing may have gone wrong.

    Then all is drawn once more, since a list is drawn otherwise before and after it has the keyboard.
    """
    await asyncio.sleep(REST_S + 0.03)
    await seat.rest()
    while not seat.given():
        await asyncio.sleep(0.005)
    for widget in seat.app.screen.query("*"):
        widget.refresh()
    await seat.rest()
    line = seat.frame.query_one(MessageLine)
    wrong = [*line.unread, *([line.standing] if line.standing else [])]
    assert not wrong, wrong


def drawn(looks: AsyncIterator[tuple[str, str]]) -> dict[str, str]:
    """Looks of the screen by their file names."""

    async def all_of_them() -> dict[str, str]:
        return {name: look async for name, look in looks}

    with standing_still():
        return asyncio.run(all_of_them())


# --- keeping and comparing -------------------------------------------------------------------------------------------


def kept_at(name: str) -> Path:
    """Where a look of that file name is kept."""
    return KEPT[Path(name).suffix] / name


def differences(name: str, now: str, kept: str) -> list[str]:
    """What is otherwise than in the look that was kept: lines of text or, where they are the same, of the SVG."""
    for lines in (lines_of if name.endswith(".svg") else str.splitlines, str.splitlines):
        found = list(unified_diff(lines(kept), lines(now), f"{name} as kept", "now", n=0, lineterm=""))
        if found:
            return found
    return []


def looks_otherwise(looks: dict[str, str]) -> Sequence[str]:
    """The differences of all these from what is kept."""
    found: list[str] = []
    for name, now in looks.items():
        path = kept_at(name)
        found += differences(name, now, path.read_text(encoding="utf-8") if path.exists() else "")
    return found


def main() -> None:
    """Draw all looks, and keep them instead of those kept so far."""
    with tempfile.TemporaryDirectory() as folder:
        shops = {name: workshop_file(name, Path(folder)) for name in WORKSHOPS}
        looks = drawn(scenes(shops["demo"])) | drawn(plain_looks(shops["demo"]))
        for sitting in SITTINGS:
            sys.stdout.write(f"{sitting}\n")
            looks |= drawn(places(sitting, shops[sitting.workshop]))
    for folder_kept in KEPT.values():
        shutil.rmtree(folder_kept, ignore_errors=True)
        folder_kept.mkdir()
    for name, look in looks.items():
        kept_at(name).write_text(look, encoding="utf-8")


if __name__ == "__main__":
    main()

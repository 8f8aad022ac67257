"""The screen at hand: the real application over a small workshop, keys to press, and what is seen then."""

from __future__ import annotations

import asyncio
import shutil
import unicodedata
from collections.abc import AsyncIterator, Callable, Coroutine, Iterator, Sequence
from contextlib import asynccontextmanager
from pathlib import Path
from typing import Any

import pytest
from textual import events
from textual.keys import REPLACED_KEYS, _character_to_key, _get_unicode_name_from_key
from textual.pilot import Pilot
from textual.screen import Screen
from textual.widget import Widget

from buildbook.actions import boards, checklists, checks, lists, stores
from buildbook.actions.checklists import NewStep
from buildbook.actions.workshop import Workshop, set_setting
from buildbook.tui.app import BuildbookApp
from buildbook.tui.folding import FoldingList
from buildbook.tui.frame import Frame
from buildbook.tui.settings import Settings

Run = Callable[[Coroutine[Any, Any, None]], None]
# How long the screen may take to come to rest before a test is given up, in seconds.
REST_S = 60.0
# How long it may take until somebody has the keyboard.
FOCUS_S = 0.5


class Seat:
    """Somebody before the screen."""

    def __init__(self, app: BuildbookApp, pilot: Pilot[None]) -> None:
        self.app = app
        self.pilot = pilot

    @property
    def frame(self) -> Frame:
        return self.app.frame

    @property
    def list(self) -> FoldingList:
        return self.frame.panel.list

    async def press(self, *keys: str) -> None:
        """Press keys, letting the screen come to rest after each."""
        for key in keys:
            self.app.post_message(key_event(key))
            await self.rest()

    async def type(self, text: str) -> None:
        """Type a text; the screen takes one key after the other, as fast as they come."""
        for letter in text:
            self.app.post_message(key_event(letter))
        await self.rest()

    async def rest(self) -> None:
        """Wait until nothing is under way but a question that waits for an answer."""
        clock = asyncio.get_running_loop().time
        begun = clock()
        while clock() < begun + REST_S:
            await asyncio.sleep(0.002)
            # A screen that was just shown gives the keyboard to somebody a moment later, unless nobody takes it.
            if not self.busy() and (self.given() or clock() > begun + FOCUS_S):
                await self.pilot.pause()
                await self.pilot.pause()
                if not self.busy():
                    return
        raise AssertionError(f"still busy: {self.busy()}")

    def given(self) -> bool:
        """Whether somebody who is in sight has the keyboard, or nobody takes it."""
        somebody = self.app.screen.focused
        if somebody is None:
            return not self.app.screen.focus_chain
        return somebody.has_focus and all(
            node.display for node in somebody.ancestors_with_self if isinstance(node, Widget)
        )

    def busy(self) -> Sequence[object]:
        """What is under way, but for a question that waits for an answer."""
        asking = not isinstance(self.app.screen, Frame)
        workers = [worker for worker in self.app.workers if not worker.is_finished]
        found: Sequence[object] = [worker for worker in workers if not (worker.group == "verb" and asking)]
        return found if self.app.ahead.at_rest else [*found, "keys"]

    def seen(self) -> str:
        """What stands on the frame, line by line."""
        return text_on(self.frame)

    def asked(self) -> str:
        """What stands on the question before it."""
        assert not isinstance(self.app.screen, Frame), "no question is asked"
        return text_on(self.app.screen)

    def row(self) -> str:
        """The key of the selected row."""
        row = self.list.selected
        return row.key if row else ""


def key_event(key: str) -> events.Key:
    """A key as a terminal's driver sends it, by its name or its sign."""
    name = _character_to_key(key) if len(key) == 1 else key
    sign: str | None = key if len(key) == 1 else None
    if sign is None and "+" not in key:
        try:
            sign = unicodedata.lookup(_get_unicode_name_from_key(REPLACED_KEYS.get(key, key)))
        except KeyError:
            sign = None
    return events.Key(name, sign)


def text_on(screen: Screen[Any]) -> str:
    """The text of a screen as drawn."""
    strips = screen._compositor.render_strips()
    return "\n".join("".join(segment.text for segment in strip).rstrip() for strip in strips)


@pytest.fixture
def run() -> Run:
    """Runs a scene."""
    return asyncio.run


Sit = Callable[..., Any]


@asynccontextmanager
async def seated(
    path: Path,
    *,
    size: tuple[int, int] = (80, 24),
    settings: Settings = Settings(),  # noqa: B008 (frozen)
    **more: Any,
) -> AsyncIterator[Seat]:
    """Somebody before the screen of the workshop at that path."""
    app = BuildbookApp(path, settings=settings, warm=False, **more)
    async with app.run_test(size=size) as pilot:
        seat = Seat(app, pilot)
        await seat.rest()
        yield seat


@pytest.fixture
def sit() -> Sit:
    """Sits somebody down."""
    return seated


def fill(shop: Workshop) -> None:
    """The Curlew: a case, an IF board with three lines, parts in three drawers, a question; and the Linnet."""
    set_setting(shop, "currency", "eur")
    boards.new_project(shop, "CURLEW", "Curlew receiver", target_on="2026-12-24")
    boards.new_project(shop, "LINNET", "Linnet bench supply", units=2)
    boards.new_assembly(shop, "CURLEW", "IF", "IF board")
    boards.new_assembly(shop, "CURLEW", "CASE", "Case", "case")
    for key, kind, value in (
        ("R-4K7", "resistor", "4k7"),
        ("R-47K", "resistor", "47k"),
        ("C-100N", "capacitor", "100n"),
        ("IFT-455", "transformer", ""),
    ):
        stores.new_part(shop, key, kind=kind, value=value)
    stores.new_part(shop, "WIRE-RED", kind="wire", unit="mm", name="Red wire")
    for name in ("A1", "A2", "B1"):
        stores.new_bin(shop, name)
    lists.add_line(shop, "IF", "R-4K7", refs="R1-R3")
    lists.add_line(shop, "IF", "C-100N", refs="C1,C2")
    lists.add_line(shop, "IF", "IFT-455", refs="T1 T2")
    stores.receive(shop, "R-4K7", "A1", 10)
    stores.receive(shop, "R-4K7", "A2", 2)
    stores.receive(shop, "C-100N", "B1", 1)
    stores.receive(shop, "WIRE-RED", "B1", "5 m")
    steps = [NewStep("Mask the earth patch", 5), NewStep("Prime inside and out", 30, one_way=True)]
    checklists.add_steps(shop, "CURLEW/CASE", steps)
    checks.ask(shop, "CURLEW", "RECT", "Which rectifier?", {"VALVE": "Valve", "SIL": "Silicon diodes"})


@pytest.fixture(scope="session")
def curlew_drawn(tmp_path_factory: pytest.TempPathFactory, template: Path) -> Path:
    """The file of that workshop, filled once; tests copy it."""
    path = tmp_path_factory.mktemp("tui") / "curlew.db"
    shutil.copyfile(template, path)
    shop = Workshop(path)
    fill(shop)
    shop.close()
    return path


@pytest.fixture
def curlew(tmp_path: Path, curlew_drawn: Path) -> Path:
    """That workshop, for one test."""
    return Path(shutil.copyfile(curlew_drawn, tmp_path / "curlew.db"))


@pytest.fixture
def another(curlew: Path) -> Iterator[Workshop]:
    """The same workshop as somebody else has it open."""
    shop = Workshop(curlew)
    yield shop
    shop.close()

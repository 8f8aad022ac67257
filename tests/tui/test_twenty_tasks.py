"""The twenty things done most often, each within its budget of keys, over the demo workshop in the real application.

How keys are counted. Every key pressed counts one, also enter that ends a text and enter that takes the first of
several; so does a key that only moves. Letters typed into a field do not count, and a text may only be typed while a
field has the keyboard, so that no key with a meaning hides among letters. Getting to the opening of the place does not
count. Where the words of a task point at one thing ("a step", "a count", "a board", "it"), and the place does not open
on it, the cursor stands on its row already: finding it is a task of its own, of two keys. Such tasks name that row in
`row`; all others begin where the place opens. What must have been there before (`given`) is written by somebody else.

What a task did is read from the file on a second connection. One that only looks must leave every answer as it was.
"""

from __future__ import annotations

import csv
from collections.abc import Awaitable, Callable, Sequence
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest
from textual.widgets import Input

from buildbook.actions.workshop import Workshop
from buildbook.answers.ordering import to_order
from buildbook.answers.workshop import checkup
from tests.tui.twenty_asked import (
    BUILD,
    COMING,
    whole,
)
from tests.tui.twenty_tasks import (
    BENCH,
    COUNT,
    EXPORT,
    KIT,
    NOT_COMING,
    SETTLE,
    SHORT,
    START,
    SWITCH,
    TASKS,
    UNDO,
    UNDONE,
    WHY_HELD,
    Keys,
    Task,
    Typed,
)

Run = Any
Sit = Any
Seat = Any
Point = Callable[[Seat], Awaitable[None]]

SMALL, LARGE = (80, 24), (200, 60)


def flat(text: str) -> str:
    """A text on one line."""
    return " ".join(text.split())


def seen(seat: Seat) -> str:
    """What stands on the screen on one line, and once more what stands beside the list."""
    drawn = seat.seen()
    left = seat.frame.panel.beside.region.x
    beside = [line[left:] for line in drawn.splitlines()] if seat.frame.panel.has_class("wide") else []
    return flat(drawn) + flat("\n".join(beside))


async def enter_all(seat: Seat, keys: Keys) -> None:
    """Press the keys and type the texts, these into a field only."""
    for key in keys:
        if isinstance(key, Typed):
            assert isinstance(seat.app.focused, Input), f"no field takes {key.text!r}"
            await seat.type(key.text)
        else:
            await seat.press(key)


async def go_to(seat: Seat, task: Task) -> None:
    """To the opening of the place, and to the row if the task is about one."""
    if task.place != BENCH:
        await seat.press(task.place)
    await seat.press(*task.way)
    if task.row:
        await enter_all(seat, ("slash", Typed(task.row), "enter"))
        assert len(seat.list.shown) == 1, "it is not clear which row is meant"


def read(path: Path, ask: Callable[[Workshop], Any]) -> Any:
    """What the file says, on a connection of its own."""
    with closing(Workshop(path)) as shop:
        return ask(shop)


async def done(seat: Seat, task: Task, path: Path) -> None:
    """Do the task, and see on the screen and in the file that it is done now and was not before."""
    texts = read(path, task.seen)
    before = read(path, task.fact or whole)
    shown = seen(seat)
    assert not all(text in shown for text in texts)
    assert task.fact is None or before != task.then
    await enter_all(seat, task.keys)
    assert seat.app.screen is seat.frame, "a question is still open"
    shown = seen(seat)
    for text in read(path, task.seen):
        assert text in shown
    assert read(path, task.fact or whole) == (task.then if task.fact else before)


async def undone(seat: Seat, path: Path, before: dict[str, object]) -> None:
    """Take it back, and see that every answer is what it was."""
    await enter_all(seat, UNDO.keys)
    back = read(path, whole)
    assert [name for name in before if before[name] != back[name]] == []
    assert read(path, checkup).holds


def sit_down(sit: Sit, path: Path, task: Task, size: tuple[int, int]) -> Any:
    """Before the screen of the workshop as the task finds it."""
    if task.given:
        read(path, task.given)
    return sit(path, size=size)


def named(task: Task) -> str:
    """The name of a test."""
    return task.words


@pytest.mark.parametrize("task", TASKS, ids=named)
def test_each_task_is_done_within_its_budget_and_undone_at_one_key(
    run: Run, sit: Sit, at_demo: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, task: Task
) -> None:
    monkeypatch.chdir(tmp_path)
    assert task.counted <= task.budget

    async def scene() -> None:
        async with sit_down(sit, at_demo, task, SMALL) as seat:
            await go_to(seat, task)
            before = read(at_demo, whole)
            await done(seat, task, at_demo)
            if task in UNDONE:
                await undone(seat, at_demo, before)

    run(scene())


# What is written by two actions, of which one key takes back the second alone.
BY_HALVES = (
    NOT_COMING,
    NOT_COMING._replace(
        words="receive a whole order, of which one part never lay anywhere",
        keys=("p", Typed("PF-0419"), "enter", Typed("F05"), "enter"),
    ),
)


@pytest.mark.parametrize("task", BY_HALVES, ids=named)
def test_what_is_many_changes_at_once_is_undone_at_one_key(run: Run, sit: Sit, at_demo: Path, task: Task) -> None:
    async def scene() -> None:
        async with sit(at_demo) as seat:
            await go_to(seat, task)
            before = read(at_demo, whole)
            await enter_all(seat, task.keys)
            if read(at_demo, whole) == before:
                pytest.fail("nothing was done")
            await undone(seat, at_demo, before)

    run(scene())


def test_the_exported_order_is_what_is_to_be_ordered(
    run: Run, sit: Sit, at_demo: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)

    async def scene() -> None:
        async with sit(at_demo) as seat:
            await go_to(seat, EXPORT)
            await enter_all(seat, EXPORT.keys)

    run(scene())
    rows = list(csv.reader((tmp_path / "order.csv").read_text(encoding="utf-8-sig").splitlines()))
    wanted = [one for one in read(at_demo, lambda shop: to_order(shop, BUILD)).rows if one.supplier == "MILLLANE"]
    assert len(rows) == 1 + len(wanted)
    for row, one in zip(rows[1:], wanted, strict=True):
        assert {one.key, one.order_code, str(one.qty)} <= set(row)


@pytest.mark.parametrize("task", [WHY_HELD, COUNT, SHORT, SETTLE], ids=named)
def test_the_same_keys_do_it_on_a_large_screen(run: Run, sit: Sit, at_demo: Path, task: Task) -> None:
    async def scene() -> None:
        async with sit_down(sit, at_demo, task, LARGE) as seat:
            await go_to(seat, task)
            await done(seat, task, at_demo)

    run(scene())


# --- by mouse --------------------------------------------------------------------------------------------------------


def on(text: str, right: int = 0) -> Point:
    """A click where that text stands, the lowest such place on the screen; so many cells to the right of its begin."""

    async def click(seat: Seat) -> None:
        drawn = seat.seen() if seat.app.screen is seat.frame else seat.asked()
        places = [(line.index(text), y) for y, line in enumerate(drawn.splitlines()) if text in line]
        assert places, f"{text!r} is nowhere on\n{drawn}"
        left, top = places[-1][0] + right, places[-1][1]
        hit, region = seat.app.screen.get_widget_at(left, top)
        await seat.pilot.click(hit, offset=(left - region.x, top - region.y))
        await seat.rest()

    return click


def twice(text: str) -> tuple[Point, Point]:
    """A click that selects, and one beside it that takes what is selected: no double click, which does neither."""
    return on(text), on(text, 3)


def words(text: str) -> Point:
    """A text, and enter, from the keyboard."""

    async def type_it(seat: Seat) -> None:
        await enter_all(seat, (Typed(text), "enter"))

    return type_it


MOUSE: tuple[tuple[Task, tuple[int, int], tuple[Point, ...]], ...] = (
    (START, SMALL, (on("space next"),)),
    (WHY_HELD, SMALL, (on("Fit socket and output"),)),
    (KIT, SMALL, (on("COIL"), on("MAINS"), on("k kit"))),
    (COUNT, LARGE, (on("c count"), on("B07"), words("5"))),
    (SHORT, SMALL, (on("P short"), *twice(f"{COMING}, 50"), words("40 in F05"), on("Still to come"))),
    (SETTLE, LARGE, (on("METER"), on("RECT"), on("space "), on("VALVE"), words("at hand"))),
    (SWITCH, LARGE, (on("b build"), *twice("LINNET  Linnet"))),
    (UNDO, LARGE, (on("u undo"),)),
)


@pytest.mark.parametrize(("task", "size", "clicks"), MOUSE, ids=[task.words for task, *_ in MOUSE])
def test_the_mouse_does_it_too(
    run: Run, sit: Sit, at_demo: Path, task: Task, size: tuple[int, int], clicks: Sequence[Point]
) -> None:
    async def scene() -> None:
        async with sit_down(sit, at_demo, task, size) as seat:
            await go_to(seat, task)
            before = read(at_demo, task.fact or whole)
            for click in clicks:
                await click(seat)
            shown = seen(seat)
            for text in read(at_demo, task.seen):
                assert text in shown
            assert read(at_demo, task.fact or whole) == (task.then if task.fact else before)

    run(scene())


# --- the list itself ------------------------------------------------------------------------------------------------


def test_all_twenty_are_in_the_tables() -> None:
    told = (
        "start|finish",
        "tick an item of a checklist",
        "note on the current step",
        "see why a step is held",
        "find a part by value",
        "see where it lies and what it is spoken for",
        "correct a count",
        "receive a delivered line in full",
        "receive it short|receive it wrong",
        "kit a board",
        "mark a line fitted",
        "see the shortage of a board",
        "export the order",
        "record a reading",
        "open a snag",
        "add a try to it",
        "settle a choice",
        "close an episode",
        "switch build",
        "undo",
    )
    budgets = (1, 1, 2, 1, 2, 1, 3, 2, 4, 2, 1, 2, 3, 2, 2, 2, 3, 3, 2, 1)
    rows = [(one.words, one.budget) for one in TASKS]
    for words_of_it, budget in zip(told, budgets, strict=True):
        for begun in words_of_it.split("|"):
            assert {allowed for said, allowed in rows if said.startswith(begun)} == {budget}, begun

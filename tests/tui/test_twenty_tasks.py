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
from typing import Any, NamedTuple

import pytest
from textual.widgets import Input

from buildbook.actions import bench as bench_actions
from buildbook.actions import snags as snag_actions
from buildbook.actions.workshop import Workshop
from buildbook.answers.bench import StepRow, bench
from buildbook.answers.board import LineRow, board
from buildbook.answers.boards import boards
from buildbook.answers.buying import short
from buildbook.answers.checks import checks
from buildbook.answers.cost import build_cost
from buildbook.answers.log import episode, stream
from buildbook.answers.measuring import sheet
from buildbook.answers.ordering import to_order
from buildbook.answers.orders import OrderRow, orders
from buildbook.answers.snags import snags
from buildbook.answers.stores import StockRow, stores, where
from buildbook.answers.workshop import checkup, overview

Run = Any
Sit = Any
Seat = Any
Point = Callable[[Seat], Awaitable[None]]

SMALL, LARGE = (80, 24), (200, 60)
BENCH, BOARDS, STORES, BUYING, CHECKS, LOG = "123456"
BUILD = "CURLEW"
# In two drawers; two resistors of one value; a held step; what lies in its drawer, or nowhere yet, and is on its way.
IN_TWO_BINS, OF_VALUE, HELD = "C-100N-630V", ("R-4K7-0.6W", "R-4K7-1W"), "AUDIO/3"
COMING, HOMELESS = "SC-M4X8", "T-IFT-455"


class Typed(NamedTuple):
    """A text typed into a field."""

    text: str


Keys = tuple[str | Typed, ...]


class Task(NamedTuple):
    """A task: its words, place and budget, the keys to its opening and those that count, and what they bring about.

    `fact` is read from the file and `then` after the task, but not before; a task without one writes nothing. `seen`
    is on the screen then and not before. `way` is pressed, and `row` found, before the counting begins.
    """

    words: str
    place: str
    budget: int
    keys: Keys
    seen: Callable[[Workshop], Sequence[str]]
    fact: Callable[[Workshop], object] | None = None
    then: object = None
    row: str = ""
    way: tuple[str, ...] = ()
    given: Callable[[Workshop], object] | None = None

    @property
    def counted(self) -> int:
        """How many keys it takes."""
        return sum(not isinstance(key, Typed) for key in self.keys)


# --- what the answers say --------------------------------------------------------------------------------------------


def step(shop: Workshop, wanted: Callable[[StepRow], bool]) -> StepRow:
    """The first step of the build that is so."""
    return next(row for row in bench(shop, BUILD).rows if wanted(row))


def next_ready(shop: Workshop) -> StepRow:
    """The step that is done next, of the demo as it is made."""
    return step(shop, lambda row: row.place == "CURLEW/CASE/5")


def started(shop: Workshop) -> None:
    """That step is in hand."""
    bench_actions.start(shop, BUILD, next_ready(shop).step)


def state_of_next(shop: Workshop) -> str:
    """How it stands."""
    return next_ready(shop).state


def held(shop: Workshop) -> StepRow:
    """A step that others hold."""
    return step(shop, lambda row: row.place == f"CURLEW/{HELD}")


def first_step(shop: Workshop) -> str:
    """How the first step of the mains board stands, on which Boards opens."""
    return step(shop, lambda row: row.place == "CURLEW/MAINS/1").state


def newest_note(shop: Workshop) -> tuple[str, str]:
    """What was written down last, and about what."""
    row = next(row for row in stream(shop, BUILD, most=None).rows if row.kind == "note")
    return row.what, row.about


def lines(shop: Workshop, section: str) -> tuple[LineRow, ...]:
    """The parts list of a section."""
    return board(shop, f"CURLEW/{section}", BUILD).lines


def in_kit(section: str) -> Callable[[Workshop], object]:
    """Which parts of a section are in its kit as a whole, by themselves and by others that stand in."""

    def fact(shop: Workshop) -> bool:
        return all(line.kitted == line.need for line in lines(shop, section) if line.need and not line.coming)

    return fact


def first_fitted(shop: Workshop) -> tuple[int, int]:
    """How many of the first line of the mains board are fitted, and how many in all."""
    found = lines(shop, "MAINS")
    return found[0].fitted, sum(line.fitted for line in found)


def stock(shop: Workshop, key: str) -> StockRow:
    """What lies of a part."""
    return next(row for row in stores(shop).rows if row.key == key)


def ordered(shop: Workshop, key: str) -> OrderRow:
    """The row of an order with that part."""
    return next(row for row in orders(shop).rows if row.key == key)


def came(key: str) -> Callable[[Workshop], object]:
    """How many of a part came of those ordered, and what lies of it where."""

    def fact(shop: Workshop) -> object:
        row = ordered(shop, key)
        return row.received_qty, row.qty, dict(stock(shop, key).bins)

    return fact


def came_at(shop: Workshop) -> object:
    """How many came, at which price for how many."""
    row = ordered(shop, COMING)
    return row.received_qty, row.price_micros, row.per_qty


def chosen(shop: Workshop) -> tuple[str, str, tuple[str, ...]]:
    """How the question of the rectifier stands, why, and what was chosen."""
    row = next(row for row in checks(shop, BUILD).rows if row.code == "RECT")
    return row.state, row.reason, tuple(one.code for one in row.options if one.chosen)


def closed(shop: Workshop) -> tuple[bool, str]:
    """Whether the third episode is closed, and its recap."""
    found = episode(shop, 3, BUILD)
    return bool(found.closed_at), found.recap


def last_reading(shop: Workshop) -> tuple[str, float | None]:
    """How the last point of the sheets stands, after which no other is asked for."""
    row = sheet(shop, BUILD).rows[-1]
    return row.state, row.value


def with_a_snag(shop: Workshop) -> None:
    """Something is wrong."""
    snag_actions.open_snag(shop, BUILD, "It hums")


def snag_told(shop: Workshop) -> tuple[object, ...]:
    """The snag that was opened last, with what was tried at it and what that showed."""
    row = snags(shop, BUILD).rows[0]
    return (row.title, row.state, *((one.tried, one.showed) for one in row.tries))


def whole(shop: Workshop) -> dict[str, object]:
    """Every answer about the workshop but the record of what was done."""
    tree, steps, drawers = boards(shop), bench(shop), stores(shop)
    return {
        "bench": (steps.sentence, steps.rows),
        "boards": (tree.sentence, tree.rows),
        "sections": [board(shop, row.code, row.build) for row in tree.rows],
        "cost": [build_cost(shop, one.build, at=()) for one in overview(shop).rows],
        "stores": (drawers.sentence, drawers.rows),
        "short": short(shop),
        "to order": to_order(shop),
        "orders": orders(shop).rows,
        "checks": checks(shop),
        "readings": sheet(shop).rows,
        "snags": snags(shop).rows,
        "notes": [row for row in stream(shop, most=None).rows if row.kind == "note"],
        "episodes": [closed(shop), stream(shop).open_episodes],
    }


# --- what is seen ----------------------------------------------------------------------------------------------------


def says(*texts: str) -> Callable[[Workshop], Sequence[str]]:
    """These texts."""
    return lambda shop: texts


def holders(shop: Workshop) -> list[str]:
    """Everything that holds the step, each in full."""
    row = held(shop)
    assert row.held
    return [f"held by {one.what}. {one.release}" for one in row.held]


def found_by_value(shop: Workshop) -> list[str]:
    """The line of each part of that value, and that there are no more."""
    own = [row for row in stores(shop).rows if row.value.startswith("4k7")]
    assert [row.key for row in own] == list(OF_VALUE)
    return [f"{len(own)} of {len(stores(shop).rows)} rows", *(f"{row.key} {row.value}" for row in own)]


def lies_and_spoken_for(shop: Workshop) -> list[str]:
    """Each drawer with what lies in it, and each build with what it needs, has and has spoken for."""
    answer = where(shop, IN_TWO_BINS)
    drawers = [f"{qty} in {name}" for name, qty in answer.bins]
    assert len(drawers) == 2
    assert any(one.spoken_for for one in answer.builds)
    figures = [(one.build, one.need, one.fitted, one.kitted, one.spoken_for) for one in answer.builds]
    return [*drawers, *(" ".join(str(cell) for cell in row if cell) for row in figures)]


def shortage(shop: Workshop) -> list[str]:
    """Each part that the board is short of, with the figures."""
    lacking = [line for line in lines(shop, "HT") if line.short]
    assert lacking
    return ["part ref need short", *(f"{line.key} {line.refs} {line.need} {line.short}" for line in lacking)]


# --- the tasks -------------------------------------------------------------------------------------------------------

START = Task(
    words="start the next ready step",
    place=BENCH,
    budget=1,
    keys=("space",),
    seen=lambda shop: [f"In hand: {next_ready(shop).name}.", "It cannot be undone."],
    fact=state_of_next,
    then="in hand",
)
WHY_HELD = Task(words="see why a step is held", place=BENCH, budget=1, keys=("y",), row=HELD, seen=holders)
COUNT = Task(
    words="correct a count, of a part in two drawers",
    place=STORES,
    budget=3,
    keys=("c", "enter", Typed("5"), "enter"),
    row=IN_TWO_BINS,
    seen=says(f"Counted 5 of {IN_TWO_BINS} in B07: +2 to what was thought."),
    fact=lambda shop: dict(stock(shop, IN_TWO_BINS).bins),
    then={"B07": 5, "B14": 6},
)
SHORT = Task(
    words="receive it short, into another drawer, the rest still to come",
    place=BUYING,
    budget=4,
    keys=("P", Typed(COMING), "enter", Typed("40 in F05"), "enter", "enter"),
    seen=says(f"Received of {COMING}: 40 of 50, into F05."),
    fact=came(COMING),
    then=(40, 50, {"F05": 40, "J02": 10}),
)
NOT_COMING = SHORT._replace(
    words="receive it short, the rest not coming any more",
    keys=("P", Typed(COMING), "enter", Typed("40"), "enter", Typed("not"), "enter"),
    seen=says(f"Received of {COMING}: 40 of 50, into J02."),
    then=(40, 40, {"J02": 50}),
)
KIT = Task(
    words="kit a board",
    place=BOARDS,
    budget=2,
    keys=("k",),
    seen=says("of CURLEW/MAINS; nothing is short.", "MAINS Mains board kitted"),
    fact=in_kit("MAINS"),
    then=True,
)
SETTLE = Task(
    words="settle a choice",
    place=CHECKS,
    budget=3,
    keys=("space", "enter", Typed("at hand"), "enter"),
    seen=says("Chosen for CURLEW: RECT:VALVE."),
    fact=chosen,
    then=("chosen", "at hand", ("VALVE",)),
)
SNAG = Task(
    words="open a snag",
    place=CHECKS,
    budget=2,
    keys=("X", Typed("It hums"), "enter"),
    seen=says("is open: It hums."),
    fact=snag_told,
    then=("It hums", "open"),
)
TRY = Task(
    words="add a try to it",
    place=CHECKS,
    budget=2,
    keys=("T", Typed("new V2; no change"), "enter"),
    given=with_a_snag,
    seen=says("Tried at snag CURLEW/2: new V2."),
    fact=snag_told,
    then=("It hums", "open", ("new V2", "no change")),
)
WRITING = (
    START,
    Task(
        words="finish the next ready step",
        place=BENCH,
        budget=1,
        keys=("space",),
        given=started,
        seen=lambda shop: [f"Done: {next_ready(shop).name}."],
        fact=state_of_next,
        then="done",
    ),
    Task(
        words="tick an item of a checklist, from the tree",
        place=BOARDS,
        budget=1,
        keys=("t",),
        seen=says("Done: Populate the mains board.", "0 of 33 1 of 4"),
        fact=first_step,
        then="done",
    ),
    Task(
        words="tick an item of a checklist, in the section",
        place=BOARDS,
        budget=1,
        keys=("t",),
        way=("enter",),
        seen=says("Done: Populate the mains board.", "1 of 4 steps done."),
        fact=first_step,
        then="done",
    ),
    Task(
        words="note on the current step",
        place=BENCH,
        budget=2,
        keys=("n", Typed("It rubs."), "enter"),
        seen=says("Written down."),
        fact=newest_note,
        then=("It rubs.", "CURLEW/CASE, Punch the grommet holes in the chassis"),
    ),
    COUNT,
    Task(
        words="correct a count, of a part in one drawer",
        place=STORES,
        budget=3,
        keys=("c", Typed("7"), "enter"),
        row=OF_VALUE[1],
        seen=says(f"Counted 7 of {OF_VALUE[1]} in A06: +3 to what was thought."),
        fact=lambda shop: dict(stock(shop, OF_VALUE[1]).bins),
        then={"A06": 7},
    ),
    Task(
        words="receive a delivered line in full",
        place=BUYING,
        budget=2,
        keys=("p", Typed(COMING), "enter"),
        seen=says(f"Received {COMING}; the rest is still to come."),
        fact=came(COMING),
        then=(50, 50, {"J02": 60}),
    ),
    Task(
        words="receive a delivered line in full, of a part that never lay anywhere",
        place=BUYING,
        budget=2,
        keys=("p", Typed("F05"), "enter"),
        row=f"{HOMELESS} coming",
        seen=says(f"Received {HOMELESS}; the rest is still to come."),
        fact=came(HOMELESS),
        then=(2, 2, {"F05": 2}),
    ),
    SHORT,
    NOT_COMING,
    SHORT._replace(
        words="receive it wrong: at another price",
        keys=("P", Typed(COMING), "enter", Typed("50 at 2.50 per 50"), "enter"),
        seen=says(f"Received of {COMING}: all that is to come, at 2.50 per 50 instead of 2.38 per 50, into J02."),
        fact=came_at,
        then=(50, 2_500_000, 50),
    ),
    KIT,
    Task(
        words="kit a board, by stand-ins",
        place=BOARDS,
        budget=2,
        keys=("k", "enter"),
        row="IF board",
        seen=says("of CURLEW/IF; short:"),
        fact=in_kit("IF"),
        then=True,
    ),
    Task(
        words="mark a line fitted, from the tree",
        place=BOARDS,
        budget=1,
        keys=("f",),
        seen=says("Fitted F1 F-400MA-T on CURLEW/MAINS; nothing is short.", "1 of 33"),
        fact=first_fitted,
        then=(1, 1),
    ),
    Task(
        words="mark a line fitted, in the section",
        place=BOARDS,
        budget=1,
        keys=("f",),
        way=("enter",),
        seen=says("Fitted F1 F-400MA-T on CURLEW/MAINS; nothing is short.", "1 of 33 fitted"),
        fact=first_fitted,
        then=(1, 1),
    ),
    Task(
        words="record a reading",
        place=CHECKS,
        budget=2,
        keys=("M", Typed("0.05"), "enter"),
        row="PE-LID",
        seen=says("PE-LID: 0.05 Ω, within limits."),
        fact=last_reading,
        then=("within", 0.05),
    ),
    SNAG,
    SNAG._replace(words="open a snag, in the log", place=LOG),
    TRY,
    TRY._replace(words="add a try to it, in the log", place=LOG),
    SETTLE,
    Task(
        words="close an episode",
        place=LOG,
        budget=3,
        keys=("c", Typed("Cut."), "enter"),
        seen=says("Episode 3 of CURLEW is closed."),
        fact=closed,
        then=(True, "Cut."),
    ),
)
UNDO = Task(
    words="undo",
    place=BENCH,
    budget=1,
    keys=("u",),
    given=started,
    seen=says("Taken back: Start"),
    fact=state_of_next,
    then="ready",
)
WHERE = Task(
    words="see where it lies and what it is spoken for",
    place=STORES,
    budget=1,
    keys=("enter",),
    row=IN_TWO_BINS,
    seen=lies_and_spoken_for,
)
EXPORT = Task(
    words="export the order",
    place=BUYING,
    budget=3,
    keys=("w", "enter", Typed("order.csv"), "enter"),
    seen=says("3 rows written to order.csv."),
)
SWITCH = Task(
    words="switch build",
    place=BENCH,
    budget=2,
    keys=("b", Typed("linnet"), "enter"),
    seen=lambda shop: ["Linnet bench supply (LINNET), 1 unit", bench(shop, "LINNET").sentence],
)
LOOKING = (
    WHY_HELD,
    Task(
        words="find a part by value",
        place=STORES,
        budget=2,
        keys=("slash", Typed("4.7 kohm"), "enter"),
        seen=found_by_value,
    ),
    WHERE,
    Task(words="see the shortage of a board", place=BOARDS, budget=2, keys=("y",), row="HT and heater", seen=shortage),
    EXPORT,
    SWITCH,
)
TASKS = (*WRITING, UNDO, *LOOKING)
# The second table: each of these, taken back, leaves the workshop as before.
UNDONE = tuple(task for task in WRITING if task is not NOT_COMING)


# --- at the screen ---------------------------------------------------------------------------------------------------


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

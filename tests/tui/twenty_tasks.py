"""The table of the twenty tasks: words, budget, keys, and what they bring about."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import NamedTuple

from buildbook.actions.workshop import Workshop
from buildbook.answers.bench import bench
from tests.tui.twenty_asked import (
    COMING,
    HELD,
    HOMELESS,
    IN_TWO_BINS,
    OF_VALUE,
    came,
    came_at,
    chosen,
    closed,
    first_fitted,
    first_step,
    found_by_value,
    holders,
    in_kit,
    last_reading,
    lies_and_spoken_for,
    newest_note,
    next_ready,
    says,
    shortage,
    snag_told,
    started,
    state_of_next,
    stock,
    with_a_snag,
)

BENCH, BOARDS, STORES, BUYING, CHECKS, LOG = "123456"


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

"""What is read of the workshop before and after each of the twenty tasks."""

from __future__ import annotations

from collections.abc import Callable, Sequence

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
from buildbook.answers.workshop import overview

BUILD = "CURLEW"
# In two drawers; two resistors of one value; a held step; what lies in its drawer, or nowhere yet, and is on its way.
IN_TWO_BINS, OF_VALUE, HELD = "C-100N-630V", ("R-4K7-0.6W", "R-4K7-1W"), "AUDIO/3"
COMING, HOMELESS = "SC-M4X8", "T-IFT-455"


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

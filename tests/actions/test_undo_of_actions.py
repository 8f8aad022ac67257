"""Every action is one entry of the journal, and taking it back leaves the workshop exactly as it was."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from buildbook.actions import (
    bench,
    boards,
    buying,
    checklists,
    checks,
    deliveries,
    kits,
    lists,
    log,
    merging,
    network,
    offers,
    splitting,
    stores,
    tree,
)
from buildbook.actions import workshop as whole
from buildbook.actions.buying import OrderLine
from buildbook.actions.checklists import After, NewStep
from buildbook.actions.deliveries import Price
from buildbook.actions.drawers import Take
from buildbook.actions.incoming import NewPart, Remembered
from buildbook.actions.offers import OfferRow
from buildbook.actions.stores import StockRow
from buildbook.actions.workshop import Workshop, redo, undo
from buildbook.reckon.difference import ListLine, difference
from buildbook.store.checkup import check

Action = Callable[[Workshop], object]
Dump = Callable[[Workshop], dict[str, list[tuple[Any, ...]]]]

OFFER = OfferRow("QUAYSIDE", "R-4K7", "Q-R47", ((1, 50_000), (100, 20_000)))


def take_in_a_list(shop: Workshop) -> object:
    present = [ListLine(1, 1, 3, ("R1", "R2", "R3")), ListLine(4, 5, 600)]
    new = [ListLine(None, 1, 4, ("R1", "R2", "R3", "R4")), ListLine(None, -1, 1, ("D1",))]
    learnt = Remembered({"4k7 resistor": "R-4K7", "diode": "D-SIG"}, "parts list", "Ref|Value", "refs,value")
    return lists.apply_list(
        shop, "IF", difference(present, new), new_parts=[NewPart("D-SIG", "diode")], remembered=learnt
    )


def take_stock(shop: Workshop) -> object:
    rows = [StockRow("R-4K7", "a1", 7, 30_000), StockRow("D-SIG", "C9", 5), StockRow("R-4K7", "C9", 1)]
    return stores.stock_in(shop, rows, new_parts=[NewPart("D-SIG", "diode")])


ACTIONS: dict[str, Action] = {
    "set_setting": lambda shop: whole.set_setting(shop, "labour_rate", "25.00"),
    "new_project": lambda shop: boards.new_project(shop, "LINNET"),
    "change_project": lambda shop: boards.change_project(shop, "CURLEW", name="Curlew", consumables_bp=300),
    "new_assembly": lambda shop: boards.new_assembly(shop, "CURLEW", "COIL", inside="IF", qty=2),
    "change_assembly": lambda shop: boards.change_assembly(shop, "IF", kind="panel", note="New drawing"),
    "change_assembly code": lambda shop: boards.change_assembly(shop, "IF", code="IF2"),
    "copy_assembly": lambda shop: tree.copy_assembly(shop, "IF", "CURLEW", "IF2"),
    "move_assembly": lambda shop: tree.move_assembly(shop, "AUDIO", 1),
    "drop_assembly": lambda shop: tree.drop_assembly(shop, "IF"),
    "drop_project": lambda shop: tree.drop_project(shop, "CURLEW"),
    "set_ready_made": lambda shop: boards.set_ready_made(shop, "IF", 1),
    "put_inside": lambda shop: boards.put_inside(shop, "IF", "AUDIO", 2),
    "put_inside again": lambda shop: boards.put_inside(shop, "CURLEW", "AUDIO", 5),
    "take_out": lambda shop: boards.take_out(shop, "CURLEW", "AUDIO"),
    "new_build": lambda shop: boards.new_build(shop, "FIRST", "IF", 2, priority=1),
    "change_build": lambda shop: boards.change_build(shop, "CURLEW", units=3, state="planned", target_on=""),
    "add_line": lambda shop: lists.add_line(shop, "AUDIO", "R-4K7", option="SILICON"),
    "change_line": lambda shop: lists.change_line(shop, "IF/R2", qty=9, refs="R1-R9", fitted=False),
    "drop_line": lambda shop: lists.drop_line(shop, "IF/C1"),
    "apply_list": take_in_a_list,
    "split_line": lambda shop: splitting.split_line(shop, "IF/R2", "R1, R3"),
    "split_line by quantity": lambda shop: splitting.split_line(shop, 4, "200 mm"),
    "move_line": lambda shop: splitting.move_line(shop, "IF/T1", 1),
    "kit": lambda shop: kits.kit(shop, "CURLEW", "IF", [Take(1, 1, 1, 2), Take(1, 2, 2, 1)]),
    "kit_assembly": lambda shop: kits.kit_assembly(shop, "CURLEW", "IF", stand_ins=True),
    "fit": lambda shop: kits.fit(shop, "CURLEW", "IF", [Take(1, 1, 1, 2)]),
    "fit_lines": lambda shop: kits.fit_lines(shop, "CURLEW", "IF", refs="R1"),
    "new_part": lambda shop: stores.new_part(shop, "V-ECH81", kind="valve"),
    "change_part": lambda shop: stores.change_part(shop, "R-4K7", key="R-4K7-MF", value="4.7 kΩ"),
    "new_bin": lambda shop: stores.new_bin(shop, "C1", "Under the bench"),
    "count": lambda shop: stores.count(shop, "R-4K7", "A1", 3),
    "receive": lambda shop: stores.receive(shop, "R-4K7", "A1", 3, price_micros=1),
    "move": lambda shop: stores.move(shop, "R-4K7", "A1", "B1"),
    "scrap": lambda shop: stores.scrap(shop, "R-4K7", "A1", 3),
    "stock_in": take_stock,
    "allow_stand_in": lambda shop: stores.allow_stand_in(shop, "R-4K7-CF", "R-4K7", "Better still"),
    "allow_stand_in again": lambda shop: stores.allow_stand_in(shop, "R-4K7", "R-4K7-CF", "So", rank=4),
    "forbid_stand_in": lambda shop: stores.forbid_stand_in(shop, "R-4K7", "R-4K7-CF"),
    "merge": lambda shop: merging.merge(shop, "R-4K7", "R-4K7-CF"),
    "add_step": lambda shop: checklists.add_step(shop, "AUDIO", NewStep("Drill", 5, one_way=True, after=(After("1"),))),
    "change_step": lambda shop: checklists.change_step(shop, "IF/2", high_min=90, after=[]),
    "drop_step": lambda shop: checklists.drop_step(shop, "Fit the coils"),
    "start": lambda shop: bench.start(shop, "CURLEW", "1"),
    "start anyway": lambda shop: bench.start(shop, "CURLEW", "2", anyway=True),
    "tick": lambda shop: bench.tick(shop, "CURLEW", "1", minutes=12),
    "put_after": lambda shop: network.put_after(shop, "IF/2", "IF/1", wait_min=30),
    "hold_for_question": lambda shop: network.hold_for_question(shop, "IF/2", "RECT"),
    "fits": lambda shop: network.fits(shop, "IF/1", ["R1", "C-100N"]),
    "waive": lambda shop: network.waive(shop, "IF/2", "IF/1", "Another sheet."),
    "drop": lambda shop: bench.drop(shop, "CURLEW", "1"),
    "ask": lambda shop: checks.ask(shop, "CURLEW", "DIAL", "Which dial?", {"A": "", "B": ""}),
    "settle": lambda shop: checks.settle(shop, "CURLEW", "RECT", "SILICON", "The winding is too small."),
    "shelve": lambda shop: checks.shelve(shop, "CURLEW", "RECT", "Later."),
    "note": lambda shop: log.note(shop, "The coil sings.", build="CURLEW", assembly="IF", step=1, part="R-4K7"),
    "open_episode": lambda shop: log.open_episode(shop, "CURLEW", "The IF board"),
    "new_supplier": lambda shop: buying.new_supplier(shop, "TERN", "Tern Windings"),
    "set_offers": lambda shop: offers.set_offers(shop, [OFFER], new_parts=[NewPart("D-SIG")]),
    "set_offer": lambda shop: offers.set_offer(shop, "QUAYSIDE", "IFT-455", "Q-IFT", breaks=[(1, 4_000_000), (10, 1)]),
    "place_order": lambda shop: buying.place_order(shop, "Q-2", "QUAYSIDE", [OrderLine("R-4K7", 5)]),
    "change_order": lambda shop: buying.change_order(shop, "Q-1", due_on="2026-12-04"),
    "change_order_line": lambda shop: buying.change_order_line(shop, "Q-1", "IFT-455", qty=4, due_on="2026-12-04"),
    "drop_order_line": lambda shop: buying.drop_order_line(shop, "Q-1", "IFT-455"),
    "cancel_order": lambda shop: buying.cancel_order(shop, "Q-1"),
    "receive_order": lambda shop: deliveries.receive_order(shop, "Q-1", "A1"),
    "receive part of it": lambda shop: deliveries.receive_order(shop, "Q-1", "A1", lines={"C-100N": 4}),
    "receive at another price": lambda shop: deliveries.receive_order(
        shop, "Q-1", "A1", prices={"IFT-455": Price(3_500_000)}
    ),
}


def done_at_a_hold_point(shop: Workshop) -> None:
    checklists.change_step(shop, 1, hold_point=True)
    bench.tick(shop, "CURLEW", 1)


# Actions that need something done before.
LATER: dict[str, tuple[Action, Action]] = {
    "unfit": (ACTIONS["fit_lines"], lambda shop: kits.unfit(shop, "CURLEW", 1, 1)),
    "give_back": (ACTIONS["kit_assembly"], lambda shop: kits.give_back(shop, "CURLEW")),
    "scrap_from_kit": (ACTIONS["kit_assembly"], lambda shop: kits.scrap_from_kit(shop, "CURLEW", 1, 2)),
    "pause": (ACTIONS["start"], lambda shop: bench.pause(shop, "CURLEW", 1)),
    "sign": (done_at_a_hold_point, lambda shop: bench.sign(shop, "CURLEW", 1, "Bare metal.", by="the builder")),
    "set_free": (ACTIONS["put_after"], lambda shop: network.set_free(shop, "IF/2", "IF/1")),
    "let_go_of_question": (
        ACTIONS["hold_for_question"],
        lambda shop: network.let_go_of_question(shop, "IF/2", "RECT"),
    ),
    "let_go": (ACTIONS["fits"], lambda shop: network.let_go(shop, "IF/1")),
    "untick": (ACTIONS["tick"], lambda shop: bench.untick(shop, "CURLEW", 1)),
    "reopen": (ACTIONS["settle"], lambda shop: checks.reopen(shop, "CURLEW", "RECT", "No diodes left.")),
    "settle otherwise": (ACTIONS["settle"], lambda shop: checks.settle(shop, "CURLEW", "RECT", "VALVE", "Looks.")),
    "close_episode": (ACTIONS["open_episode"], lambda shop: log.close_episode(shop, "CURLEW", "It hums.")),
    "set_offers anew": (
        ACTIONS["set_offers"],
        lambda shop: offers.set_offers(shop, [OFFER._replace(breaks=((1, 40_000), (50, 1)), pack_qty=10)]),
    ),
    "set_offer again": (
        ACTIONS["set_offer"],
        lambda shop: offers.set_offer(shop, "QUAYSIDE", "IFT-455", "Q-IFT", breaks=[(1, 5), (5, 4)], lead_days=9),
    ),
    "drop_offer": (ACTIONS["set_offer"], lambda shop: offers.drop_offer(shop, "QUAYSIDE", "IFT-455", "Q-IFT")),
    "join_lines": (ACTIONS["split_line"], lambda shop: splitting.join_lines(shop, "IF/R1", "IF/R2")),
    "change_note": (ACTIONS["note"], lambda shop: log.change_note(shop, 1, "The coil sings no more.")),
    "drop_note": (ACTIONS["note"], lambda shop: log.drop_note(shop, 1)),
    "merge offers": (
        lambda shop: offers.set_offers(shop, [OFFER, OFFER._replace(part="R-4K7-CF"), OFFER._replace(order_code="X")]),
        lambda shop: merging.merge(shop, "R-4K7", "R-4K7-CF"),
    ),
    "change_build to the front": (
        ACTIONS["new_build"],
        lambda shop: boards.change_build(shop, "CURLEW", priority=1),
    ),
}


def entries(shop: Workshop) -> int:
    return int(shop.reads.execute("SELECT count(*) FROM journal_entry").fetchone()[0])


@pytest.mark.parametrize("name", [*ACTIONS, *LATER])
def test_an_action_is_one_entry_and_undo_takes_all_of_it_back(curlew: Workshop, dump: Dump, name: str) -> None:
    first, act = LATER.get(name, (None, ACTIONS.get(name)))
    assert act is not None
    if first:
        first(curlew)
    before, count = dump(curlew), entries(curlew)
    act(curlew)
    after = dump(curlew)
    assert after != before
    assert entries(curlew) == count + 1
    undo(curlew)
    assert dump(curlew) == before
    redo(curlew)
    assert dump(curlew) == after
    assert [proof.faults for proof in check(curlew) if not proof.holds] == []


def test_every_action_there_is_is_taken_back_here() -> None:
    known = {name.split()[0] for name in (*ACTIONS, *LATER)} | {"add_steps"}
    modules = (bench, boards, buying, checklists, checks, kits, lists, log, merging, network, offers, splitting, stores)
    for module in (*modules, tree):
        own = [one for one in vars(module).values() if getattr(one, "__module__", "") == module.__name__]
        actions = {one.__name__ for one in own if "shop" in getattr(one, "__annotations__", {})}
        assert {name for name in actions if not name.startswith("_")} <= known

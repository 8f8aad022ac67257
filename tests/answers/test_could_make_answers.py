"""How many could be made now, and what one more would lack."""

from __future__ import annotations

import pytest

from buildbook.actions import boards, kits, lists, stores
from buildbook.actions.workshop import Workshop
from buildbook.answers.could_make import could_make
from buildbook.errors import BadInput


def test_what_lacks_a_part_cannot_be_made(wren: Workshop) -> None:
    answer = could_make(wren, "AMP")
    assert (answer.from_all, answer.from_free) == (0, 0)
    assert [(row.key, row.missing, row.on_hand, row.free) for row in answer.missing] == [
        ("Q-BC547B", 1, 1, 0),
        ("T-OUT", 1, 0, 0),
    ]
    assert answer.sentence == "WREN/AMP: none could be made now; one more lacks 2 parts."


def test_what_is_spoken_for_is_kept_apart(wren: Workshop) -> None:
    stores.receive(wren, "T-OUT", "A1", 9)
    stores.receive(wren, "Q-BC547B", "A1", 9)
    answer = could_make(wren, "AMP")
    assert (answer.from_all, answer.from_free) == (5, 4)
    assert answer.sentence == (
        "WREN/AMP: 5 could be made from all that is there, 4 from what is free; one more lacks 1 part."
    )
    assert [(row.key, row.missing) for row in answer.missing] == [("R-4K7", 2)]
    kits.kit_assembly(wren, "WREN", "AMP")
    assert (could_make(wren, "AMP").from_all, could_make(wren, "AMP").from_free) == (4, 4)
    assert could_make(wren, "AMP").sentence == "WREN/AMP: 4 could be made now; one more lacks 1 part."


def test_stand_ins_and_ready_made_boards_help(wren: Workshop) -> None:
    boards.change_build(wren, "WREN", state="finished")
    stores.receive(wren, "T-OUT", "A1", 2)
    assert could_make(wren, "AMP").from_free == 1
    stores.receive(wren, "Q-BC547C", "A1", 1)
    stores.allow_stand_in(wren, "Q-BC547B", "Q-BC547C", "More gain does no harm here.")
    assert could_make(wren, "AMP").from_free == 2
    boards.set_ready_made(wren, "AMP", 3)
    assert could_make(wren, "WREN").from_free == 5


def test_those_that_stand_ready_made_are_not_made_again(wren: Workshop) -> None:
    before = could_make(wren, "AMP")
    boards.set_ready_made(wren, "AMP", 20_000)
    boards.change_build(wren, "WREN", state="finished")
    assert could_make(wren, "AMP").sentence == "WREN/AMP: none could be made now; one more lacks 1 part."
    assert could_make(wren, "AMP").from_all == before.from_all
    assert could_make(wren, "WREN").sentence == "WREN: 10000 or more could be made now."


def test_the_ready_made_that_a_build_takes_are_not_free(wren: Workshop) -> None:
    boards.set_ready_made(wren, "AMP", 1)
    answer = could_make(wren, "WREN")
    assert (answer.from_all, answer.from_free) == (1, 0)


def test_the_loss_allowed_for_is_part_of_the_need(wren: Workshop) -> None:
    boards.change_build(wren, "WREN", state="finished")
    stores.receive(wren, "T-OUT", "A1", 9)
    stores.receive(wren, "Q-BC547B", "A1", 9)
    lists.change_line(wren, "AMP/R1", loss_bp=2500)
    # Ten resistors make four boards of two and a half each.
    assert could_make(wren, "AMP").from_free == 4


def test_nothing_stops_what_needs_nothing(wren: Workshop) -> None:
    boards.new_assembly(wren, "WREN", "LABEL", "Label")
    answer = could_make(wren, "LABEL")
    assert (answer.from_all, answer.missing) == (10_000, ())
    assert answer.sentence == "WREN/LABEL needs no parts."


def test_an_unknown_section_is_told(wren: Workshop) -> None:
    with pytest.raises(BadInput, match=r"There is no assembly IF."):
        could_make(wren, "IF")

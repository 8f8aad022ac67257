"""Why a part is short: every line that needs it, with the arithmetic in words."""

from __future__ import annotations

import pytest

from buildbook.actions import boards, buying, kits, lists, stores
from buildbook.actions.buying import OrderLine
from buildbook.actions.workshop import Workshop
from buildbook.answers.why import why
from buildbook.errors import BadInput


def test_a_part_of_no_build(wren: Workshop) -> None:
    answer = why(wren, "Q-BC547C")
    assert (answer.sentence, answer.terms) == ("Q-BC547C: no build needs it; 0 on hand.", ())


def test_one_line_that_lacks_a_part(wren: Workshop) -> None:
    answer = why(wren, "T-OUT")
    assert answer.sentence == "T-OUT: 1 needed; 1 short."
    assert [(term.assembly, term.refs, term.said) for term in answer.terms] == [
        ("WREN/AMP", "T1", "1 x 1 = 1: 1 short")
    ]


def test_every_share_is_a_term(wren: Workshop) -> None:
    boards.change_build(wren, "WREN", units=7)
    buying.place_order(wren, "T-1", "TERN", [OrderLine("Q-BC547B", 1)], due_on="2026-12-04")
    stores.receive(wren, "Q-BC547B", "A1", 1)
    kits.fit_lines(wren, "WREN", "AMP", refs="Q1")
    stores.receive(wren, "Q-BC547B", "A1", 1)
    stores.receive(wren, "Q-BC547C", "A1", 2)
    stores.allow_stand_in(wren, "Q-BC547B", "Q-BC547C", "More gain does no harm here.")
    answer = why(wren, "Q-BC547B")
    assert answer.sentence == ("Q-BC547B: 7 needed, 2 fitted, 1 of 1 on hand, 2 by stand-ins, 1 coming; 1 short.")
    (term,) = answer.terms
    assert term.said == "7 x 1 = 7, 2 fitted, 1 from the drawers, 2 by stand-ins, 1 coming: 1 short"
    assert answer.remarks == (
        "Q-BC547C may stand in (More gain does no harm here.): 2 on hand, 0 free.",
        "Order T-1 from TERN brings 1, due 2026-12-04.",
    )


def test_lengths_and_losses_are_written_out(wren: Workshop) -> None:
    lists.add_line(wren, "AMP", "W-RED", "600 mm", loss_bp=1000)
    stores.receive(wren, "W-RED", "A1", "500 mm")
    answer = why(wren, "W-RED")
    assert answer.sentence == "W-RED: 660 mm needed, 500 mm of 500 mm on hand; 160 mm short."
    assert answer.terms[0].said == ("1 x 600 mm + 10 % for loss = 660 mm, 500 mm from the drawers: 160 mm short")


def test_builds_come_in_the_order_of_priority(wren: Workshop) -> None:
    boards.new_build(wren, "SECOND", "AMP", 5)
    assert [(term.build, term.short) for term in why(wren, "R-4K7").terms] == [("WREN", 0), ("SECOND", 2)]
    boards.change_build(wren, "SECOND", priority=1)
    answer = why(wren, "R-4K7")
    assert [(term.build, term.short) for term in answer.terms] == [("SECOND", 0), ("WREN", 2)]
    assert answer.sentence == "R-4K7: 12 needed, 10 of 10 on hand; 2 short."
    assert [term.build for term in why(wren, "R-4K7", "WREN").terms] == ["WREN"]
    assert why(wren, "R-4K7", "WREN").sentence == "R-4K7: 2 needed; 2 short."


def test_an_order_without_a_day_says_so(wren: Workshop) -> None:
    buying.place_order(wren, "T-1", "TERN", [OrderLine("T-OUT", 1)])
    answer = why(wren, "T-OUT")
    assert answer.sentence == "T-OUT: 1 needed, 1 coming; nothing is short."
    assert answer.remarks == ("Order T-1 from TERN brings 1, no day known.",)


def test_unknown_names_are_told(wren: Workshop) -> None:
    with pytest.raises(BadInput, match=r"There is no part T-OUTT. Did you mean T-OUT\?"):
        why(wren, "T-OUTT")
    with pytest.raises(BadInput, match=r"There is no build LINNET."):
        why(wren, "T-OUT", "LINNET")

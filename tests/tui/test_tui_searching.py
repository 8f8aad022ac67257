"""Words are found anywhere while they are typed; the last typed wins, and enter goes to where they stand."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from threading import Event
from typing import Any

import pytest
from rich.segment import Segment
from rich.style import Style

from buildbook.actions import buying, checks, log, snags, stores
from buildbook.actions.buying import OrderLine
from buildbook.actions.workshop import Workshop
from buildbook.answers import search as answer
from buildbook.answers.search import FoundRow
from buildbook.tui.asking import Typed
from buildbook.tui.drawing import draw_marked
from buildbook.tui.frame import Frame
from buildbook.tui.laying import show_ascii_only
from buildbook.tui.rows import Cell
from buildbook.tui.searching import Search, way_to

Run = Callable[..., None]
Sit = Callable[..., Any]


@pytest.fixture
def told(another: Workshop) -> Workshop:
    """Something is written down about most things."""
    log.note(another, "The wire came on a wooden reel", build="CURLEW")
    log.note(another, "Winding the toroid took all evening", build="LINNET")
    snags.open_snag(another, "CURLEW", "Crackle in the earphone")
    snags.add_try(another, "CURLEW/1", "Reseated the valve", "No change")
    checks.ask(another, "CURLEW", "METER", "Which tuning meter?", {"EYE": "Tuning eye", "COIL": "Moving coil"})
    buying.new_supplier(another, "TERN", "Tern Windings")
    buying.place_order(another, "T-1", "TERN", [OrderLine("IFT-455", 2, 4_000_000)])
    stores.new_part(another, "D-1N4007", name="Rectifier")
    return another


def test_each_letter_lists_anew_and_the_words_found_stand_out(run: Run, sit: Sit, curlew: Path, told: Workshop) -> None:
    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("6", "g")
            assert "Find what, anywhere?" in seat.asked()
            await seat.type("woo")
            assert "“woo” stands in 1 note." in seat.asked()
            assert "The wire came on a wooden reel" in seat.asked()
            strips = seat.app.screen._compositor.render_strips()
            bold = [segment.text for strip in strips for segment in strip if segment.style and segment.style.bold]
            assert "wooden" in bold
            await seat.type("x")
            assert "“woox” stands in nothing." in seat.asked()
            assert "wooden" not in seat.asked()
            await seat.press("backspace", "backspace", "backspace", "backspace")
            assert "Find what, anywhere?" in seat.asked()
            await seat.press("escape")
            assert isinstance(seat.app.screen, Frame)
            assert seat.frame.panel.place.NAME == "Log"

    run(scene())


@pytest.mark.parametrize(
    ("typed", "place", "shown"),
    [
        ("wooden", "Log", "wooden reel"),
        ("reseated", "Checks", "Crackle"),
        ("tuning", "Checks", "tuning meter"),
        ("t-1", "Buying", "T-1"),
        ("1n4007", "Stores", "D-1N4007"),
        ("n400", "Stores", "D-1N4007"),
    ],
)
def test_enter_goes_to_where_it_stands(
    run: Run, sit: Sit, curlew: Path, told: Workshop, typed: str, place: str, shown: str
) -> None:
    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("6", "g")
            await seat.type(typed)
            await seat.press("end", "pagedown", "enter")
            assert place == seat.frame.panel.place.NAME
            assert seat.list.selected is not None
            assert shown in " ".join(line for line in seat.seen().splitlines() if "›" in line)

    run(scene())


def test_what_belongs_to_another_build_is_shown_with_that_build(
    run: Run, sit: Sit, curlew: Path, told: Workshop
) -> None:
    async def scene() -> None:
        async with sit(curlew, build="CURLEW") as seat:
            await seat.press("g")
            await seat.type("toroid")
            await seat.press("enter")
            assert seat.frame.panel.place.NAME == "Log"
            assert seat.frame.build == "LINNET"
            assert "Winding the toroid" in seat.seen()

    run(scene())


def test_enter_waits_for_the_answer_and_the_last_typed_wins(
    run: Run, sit: Sit, curlew: Path, told: Workshop, monkeypatch: pytest.MonkeyPatch
) -> None:
    held = Event()
    slow = answer.search

    def late(shop: Workshop, text: str, *, most: int | None = None) -> answer.Found:
        if text == "w":
            held.wait(10)
        return slow(shop, text, most=most)

    monkeypatch.setattr(answer, "search", late)

    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("g")
            await seat.pilot.press("w")
            await seat.pilot.pause(0.05)
            await seat.pilot.press("i", "n", "d")
            screen = seat.app.screen
            assert isinstance(screen, Search)
            while screen.found is None or "wind" not in screen.found.sentence:
                await seat.pilot.pause(0.01)
            held.set()
            await seat.rest()
            assert screen.found is not None
            assert screen.found.sentence.startswith("“wind” stands in")
            await seat.pilot.press("i", "n", "g", "space", "t", "h", "e", "enter")
            await seat.rest()
            assert seat.frame.panel.place.NAME == "Log"
            assert "Winding the toroid" in seat.seen()

    run(scene())


def test_what_cannot_be_read_is_said_and_typing_goes_on(run: Run, sit: Sit, curlew: Path, told: Workshop) -> None:
    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("g")
            await seat.type("x" * 3)
            seat.app.screen.query_one("#typed", Typed).value = "y" * 500
            await seat.rest()
            assert "500 characters" in seat.asked()
            seat.app.screen.query_one("#typed", Typed).value = "wooden"
            await seat.rest()
            assert "“wooden” stands in 1 note." in seat.asked()

    run(scene())


def test_every_kind_has_a_place() -> None:
    for kind, _ in answer.KINDS.values():
        place, _, select = way_to(FoundRow("", kind, "CURLEW", "what", "about", "said", (), "CURLEW/IF"))
        assert place in ("Bench", "Boards", "Stores", "Buying", "Checks", "Log")
        assert place == "Log" or kind in ("supplier", "offer", "step", "signature") or select or place == "Boards"


def test_marks_stand_where_they_belong_when_signs_are_spelt_out() -> None:
    plain, loud = Style(), Style(bold=True)
    cell = Cell("4.7 kΩ at 45 °C", marks=((0, 6), (13, 15)))
    assert draw_marked("4.7 kΩ at 45 °C", cell, plain, loud) == [
        Segment("4.7 kΩ", loud),
        Segment(" at 45 ", plain),
        Segment("°C", loud),
    ]
    show_ascii_only(wanted=True)
    try:
        drawn = draw_marked("4.7 kohm at 45...", cell, plain, loud)
    finally:
        show_ascii_only(wanted=False)
    assert [segment.text for segment in drawn][:1] == ["4.7 kohm"]
    assert "".join(segment.text for segment in drawn) == "4.7 kohm at 45..."

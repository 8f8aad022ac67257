"""The frame: six places, one key each; keys, footer, help and palette from one declaration; small terminals."""

from __future__ import annotations

import random
import subprocess
import sys
from pathlib import Path
from threading import Event
from typing import Any

import pytest
from textual import events

from buildbook.actions import log
from buildbook.actions.workshop import Workshop
from buildbook.answers.bench import bench
from buildbook.answers.boards import boards
from buildbook.answers.buying import short
from buildbook.answers.checks import checks
from buildbook.answers.log import stream
from buildbook.answers.stores import stores
from buildbook.answers.workshop import checkup
from buildbook.tui.app import BuildbookApp
from buildbook.tui.bench import Bench
from buildbook.tui.everywhere import VERBS
from buildbook.tui.place import FRAME_KEYS
from buildbook.tui.places import PLACES
from buildbook.tui.rows import View
from tests.tui.conftest import Seat

Run = Any
Sit = Any


def flat(text: str) -> str:
    """A text on one line."""
    return " ".join(text.split())


def test_each_place_shows_its_answer_first(run: Run, sit: Sit, curlew: Path, another: Workshop) -> None:
    said = {
        "1": bench(another, "CURLEW").sentence,
        "2": boards(another, "CURLEW").sentence,
        "3": stores(another).sentence,
        "4": short(another, "CURLEW").sentence,
        "5": checks(another, "CURLEW").sentence,
        "6": stream(another, "CURLEW", most=None).sentence,
    }

    async def scene() -> None:
        async with sit(curlew) as seat:
            for key, sentence in said.items():
                await seat.press(key)
                assert sentence in flat(seat.seen())
                assert seat.seen().splitlines()[2].strip() in sentence

    run(scene())


def test_the_title_names_the_first_build_its_units_and_its_target(run: Run, sit: Sit, curlew: Path) -> None:
    async def scene() -> None:
        async with sit(curlew) as seat:
            title = seat.seen().splitlines()[0]
            assert "Curlew receiver (CURLEW), 1 unit" in title
            assert title.endswith("target 24 Dec 2026")

    run(scene())


def test_another_build_is_two_keys_and_its_name_away(run: Run, sit: Sit, curlew: Path) -> None:
    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("b")
            assert "All builds" in seat.asked()
            await seat.type("linnet")
            await seat.press("enter")
            assert "Linnet bench supply (LINNET), 2 units" in seat.seen()
            assert seat.frame.build == "LINNET"

    run(scene())


def test_all_builds_can_be_shown_together(run: Run, sit: Sit, curlew: Path) -> None:
    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("b")
            await seat.type("all")
            await seat.press("enter")
            assert seat.seen().splitlines()[0].split() == ["All", "builds", "2", "planned", "or", "under", "way"]

    run(scene())


def test_undo_and_redo_say_what_they_did(run: Run, sit: Sit, curlew: Path, another: Workshop) -> None:
    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("u")
            assert "Taken back: Ask CURLEW RECT: Which rectifier?" in seat.seen()
            assert not checks(another).rows
            await seat.press("r")
            assert "Done again" in seat.seen()
            assert len(checks(another).rows) == 1

    run(scene())


def test_a_note_is_two_keys_and_its_text_away(run: Run, sit: Sit, curlew: Path, another: Workshop) -> None:
    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("n")
            await seat.type("meter came without nuts")
            await seat.press("enter")
            assert "Written down." in seat.seen()
            assert stream(another, "CURLEW").rows[0].what == "meter came without nuts"

    run(scene())


def test_what_goes_wrong_stays_until_it_is_read(run: Run, sit: Sit, curlew: Path, another: Workshop) -> None:
    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("r")
            assert "(esc when read)" in seat.seen()
            await seat.press("down", "3")
            assert "(esc when read)" in seat.seen()
            await seat.press("escape")
            assert "(esc when read)" not in seat.seen()

    run(scene())


def test_the_footer_names_the_keys_of_this_very_place(run: Run, sit: Sit, curlew: Path) -> None:
    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("6")
            foot = seat.seen().splitlines()[-1]
            assert "o open episode" in foot
            assert foot.endswith("? keys")
            await seat.press("3")
            foot = seat.seen().splitlines()[-1]
            assert "c count" in foot
            assert "episode" not in foot

    run(scene())


@pytest.mark.parametrize("key", [place.KEY for place in PLACES])
def test_help_lists_every_verb_of_the_place_and_of_the_frame(run: Run, sit: Sit, curlew: Path, key: str) -> None:
    place = next(place for place in PLACES if key == place.KEY)

    async def scene() -> None:
        async with sit(curlew, size=(120, 60)) as seat:
            await seat.press(key, "question_mark")
            verbs = [verb for verb in (*place.verbs, *VERBS) if verb.key]
            options = {option.key: option.word for option in seat.app.screen.options}
            assert {verb.key: verb.help for verb in verbs}.items() <= options.items()
            assert verbs[0].help in seat.asked()
            assert verbs[5].help in seat.asked()

    run(scene())


def test_the_palette_does_an_action_of_another_place_by_its_plain_name(
    run: Run, sit: Sit, curlew: Path, another: Workshop
) -> None:
    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("colon")
            await seat.type("next episode")
            await seat.press("enter")
            assert "What is the next episode of CURLEW about?" in seat.asked()
            await seat.type("Metalwork")
            await seat.press("enter")
            assert [one.title for one in stream(another).open_episodes] == ["Metalwork"]

    run(scene())


def test_every_palette_entry_is_there_once(run: Run, sit: Sit, curlew: Path) -> None:
    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("colon")
            keys = [option.key for option in seat.app.screen.options]
            assert len(keys) == len(set(keys))
            assert {f"go {place.KEY}" for place in PLACES} <= set(keys)

    run(scene())


def test_no_place_takes_a_key_of_the_frame() -> None:
    assert {verb.key for verb in VERBS if verb.key} | {place.KEY for place in PLACES} == FRAME_KEYS
    for place in PLACES:
        own = [verb.key for verb in place.verbs if verb.key]
        assert len(own) == len(set(own))
        assert not set(own) & FRAME_KEYS, place.NAME


def test_places_and_keys_can_be_clicked(run: Run, sit: Sit, curlew: Path) -> None:
    async def scene() -> None:
        async with sit(curlew) as seat:
            at = seat.seen().splitlines()[1].index("3 Stores")
            await seat.pilot.click("PlacesLine", offset=(at, 0))
            await seat.rest()
            assert seat.frame.panel.place.NAME == "Stores"
            foot = seat.seen().splitlines()[-1]
            await seat.pilot.click("Footer", offset=(foot.index("? keys"), 0))
            await seat.rest()
            assert "Keys of Stores" in seat.asked()

    run(scene())


def test_the_list_is_exported_as_it_stands(run: Run, sit: Sit, curlew: Path, tmp_path: Path) -> None:
    target = tmp_path / "out.csv"

    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("3", "slash")
            await seat.type("resistor")
            await seat.press("enter", "e")
            seat.app.screen.query_one("#typed").value = str(target)
            await seat.press("enter")
            assert "2 rows written" in seat.seen()

    run(scene())
    lines = target.read_text().splitlines()
    assert lines[0].startswith("part,value,on hand")
    assert [line.split(",")[0] for line in lines[1:]] == ["R-4K7", "R-47K"]


def test_each_place_keeps_its_search_and_its_selection(run: Run, sit: Sit, curlew: Path) -> None:
    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("3", "slash")
            await seat.type("r-4")
            await seat.press("enter", "down")
            assert seat.row() == "R-47K"
            await seat.press("6", "3")
            assert seat.row() == "R-47K"
            assert "2 of 5 rows" in seat.seen()
            await seat.press("escape")
            assert "5 rows" in seat.seen()
            assert seat.row() == "R-47K"

    run(scene())


def test_sorting_goes_through_the_columns_and_says_so(run: Run, sit: Sit, curlew: Path) -> None:
    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("3", "s", "s", "s")
            assert "sorted by on hand" in seat.seen()
            assert [row.about.on_hand for row in seat.list.shown] == [0, 0, 1, 12, 5000]
            await seat.press("S")
            assert "sorted by on hand, falling" in seat.seen()
            assert seat.list.shown[0].key == "WIRE-RED"

    run(scene())


def test_a_text_is_found_anywhere(run: Run, sit: Sit, curlew: Path, another: Workshop) -> None:
    log.note(another, "The wire came on a wooden reel")

    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("g")
            await seat.type("wire")
            assert "wooden reel" in seat.asked()
            await seat.press("pagedown", "enter")
            assert seat.frame.panel.place.NAME == "Stores"
            assert seat.row() == "WIRE-RED"

    run(scene())


@pytest.mark.parametrize("size", [(20, 5), (36, 9), (40, 10), (80, 24), (120, 40), (200, 60), (300, 5), (10, 60)])
def test_any_size_and_back(run: Run, sit: Sit, curlew: Path, size: tuple[int, int]) -> None:
    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("3", "down", "enter")
            before, chosen = seat.seen(), seat.row()
            await seat.pilot.resize_terminal(*size)
            await seat.rest()
            if size[0] < 36 or size[1] < 9:
                assert "Too small" in seat.seen()
            await seat.press("2", "3")
            await seat.pilot.resize_terminal(80, 24)
            await seat.rest()
            assert seat.row() == chosen
            assert seat.seen().splitlines()[:4] == before.splitlines()[:4]

    run(scene())


def test_an_empty_workshop_shows_three_ways_on_and_one_of_them_works(run: Run, sit: Sit, tmp_path: Path) -> None:
    path = tmp_path / "new.db"

    async def scene() -> None:
        async with sit(path) as seat:
            assert "The workshop is empty." in seat.seen()
            assert [row.key for row in seat.list.shown] == ["demo", "import", "start"]
            assert not path.exists()
            await seat.press("end", "space")
            await seat.type("wren")
            await seat.press("enter")
            await seat.press("enter")
            assert seat.seen().splitlines()[0].startswith(" Wren, 1 unit")
            assert "No steps are written down yet." in seat.seen()

    run(scene())


def test_the_demo_is_opened_in_place_of_an_empty_workshop(run: Run, sit: Sit, tmp_path: Path, curlew: Path) -> None:
    async def scene() -> None:
        async with sit(tmp_path / "new.db", demo=lambda: curlew) as seat:
            await seat.press("enter")
            await seat.rest()
            assert "Curlew receiver" in seat.seen()
            assert seat.app.door.path == curlew

    run(scene())


def test_a_parts_list_begins_a_project_in_an_empty_workshop(run: Run, sit: Sit, tmp_path: Path) -> None:
    listed = tmp_path / "if.csv"
    listed.write_text("ref,value,qty\nR1,4k7,1\nC1,100n,1\n")

    async def scene() -> None:
        async with sit(tmp_path / "new.db") as seat:
            await seat.press("down", "space")
            seat.app.screen.query_one("#typed").value = str(listed)
            await seat.press("enter")
            await seat.type("wren")
            await seat.press("enter")
            await seat.type("amp")
            await seat.press("enter")
            for _ in range(100):
                if seat.seen().splitlines()[0].startswith(" Wren"):
                    return
                await seat.rest()
            raise AssertionError(seat.seen())

    run(scene())


def test_a_place_left_behind_that_answers_late_does_not_name_the_build(
    run: Run, sit: Sit, curlew: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked, free, slow = Event(), Event(), Bench.ask

    def ask(place: Bench, shop: Workshop, build: str | None) -> View:
        asked.set()
        assert free.wait(20)
        return slow(place, shop, build)

    monkeypatch.setattr(Bench, "ask", ask)

    async def scene() -> None:
        app = BuildbookApp(curlew, warm=False)
        async with app.run_test(size=(80, 24)) as pilot:
            while not asked.is_set():
                await pilot.pause(0.01)
            app.frame.go("Boards")
            seat = Seat(app, pilot)
            while not seat.seen().splitlines()[0].startswith(" Curlew"):
                await pilot.pause(0.01)
            free.set()
            await seat.rest()
            assert seat.seen().splitlines()[0].startswith(" Curlew")

    run(scene())


def test_keys_typed_faster_than_the_screen_are_not_lost(run: Run, sit: Sit, curlew: Path, another: Workshop) -> None:
    async def scene() -> None:
        async with sit(curlew) as seat:
            burst = ["n", *"snug", "enter", "3", "slash", *"47k", "enter", "p", *"25", "enter", *"b1", "enter"]
            for key in burst:
                seat.app.post_message(events.Key(key, key if len(key) == 1 else "/" if key == "slash" else None))
            await seat.rest()
            assert stream(another, "CURLEW").rows[0].what == "snug"
            assert "Received 25 of R-47K into b1." in seat.seen()

    run(scene())


def test_q_leaves(run: Run, sit: Sit, curlew: Path) -> None:
    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.pilot.press("q")
            await seat.pilot.pause()
            assert seat.app._exit

    run(scene())


@pytest.mark.parametrize("luck", [1, 2])
def test_random_keys_break_nothing(run: Run, sit: Sit, curlew: Path, luck: int) -> None:
    choose = random.Random(luck)
    keys = ["up", "down", "enter", "space", "escape", "tab", "left", "right", "home", "end", "pageup", "pagedown"]
    keys += [*"123456burn?:ysSegcmxpo", "slash", "a", "1", "backspace", "ctrl+a", "f1", "delete"]

    async def scene() -> None:
        async with sit(curlew) as seat:
            for count in range(45):
                key = choose.choice(keys)
                await seat.pilot.press(key)
                if count % 15 == 0:
                    await seat.pilot.resize_terminal(choose.randint(5, 160), choose.randint(3, 50))
            for _ in range(4):
                await seat.press("escape")
            assert seat.app.is_running

    run(scene())
    shop = Workshop(curlew)
    assert checkup(shop).holds
    shop.close()


@pytest.mark.process
def test_the_first_frame_waits_for_neither_the_orm_nor_pandas() -> None:
    program = "import sys, buildbook.tui.app; print(' '.join(sys.modules))"
    found = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True).stdout.split()
    heavy = {"sqlalchemy", "sqlmodel", "pandas", "alembic", "numpy", "pydantic", "openpyxl", "ortools"}
    assert "textual" in found
    assert not {name.partition(".")[0] for name in found} & heavy
    assert not {name for name in found if name.startswith(("buildbook.actions", "buildbook.store"))}


def test_a_movement_typed_ahead_of_a_question_holds_up_nothing(run: Run, sit: Sit, curlew: Path) -> None:
    async def scene() -> None:
        async with sit(curlew) as seat:
            for key in ("n", "down"):
                seat.app.post_message(events.Key(key, key if len(key) == 1 else None))
            await seat.rest()
            await seat.type("xy")
            assert seat.app.screen.query_one("#typed").value == "xy"

    run(scene())


def test_a_question_answered_twice_in_one_breath_is_answered_once(run: Run, sit: Sit, curlew: Path) -> None:
    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("b")
            question = seat.app.screen
            question.dismiss("LINNET")
            question.dismiss("CURLEW")
            await seat.rest()
            assert seat.frame.build == "LINNET"

    run(scene())

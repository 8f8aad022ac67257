"""Lists taken in on the screen: picked, understood, settled row by row, written as one action; or left."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from buildbook.actions import buying
from buildbook.actions.workshop import Workshop
from buildbook.answers.board import board
from buildbook.answers.log import stream
from buildbook.answers.offered import offered
from buildbook.answers.stores import where
from buildbook.exchange.gathering import Plan, PlanRow
from buildbook.exchange.headings import read_mapping, resolve
from buildbook.exchange.intake import Fault
from buildbook.exchange.questions import Question
from buildbook.tui.importing_columns import Heading, Understood
from buildbook.tui.importing_file import Entry, completions, keep_folder, last_folder
from buildbook.tui.importing_list import as_said_here
from buildbook.tui.importing_mapping import left_out, read_as, typed
from buildbook.tui.importing_rows import ORDER, meanings, meant
from buildbook.tui.rows import text_of
from buildbook.tui.settings import Settings

Run = Any
Sit = Any

FAULTY = "Ref;Qty;Value\nR1-R3;5;4k7\nR4;1;47k\nR5;some;4k7\nX1;1;Crystal 455k\nC1,C2;2;100n\n"
FOREIGN = "Kennung;Anzahl;Wert;Bauform\nR1;1;4k7;0207\nR2,R3;2;47k;\n"
CLEAR = "Ref;Qty;Value\nR1-R3;3;4k7\nR4;1;47k\n"


def write(folder: Path, text: str, name: str = "list.csv") -> Path:
    """A list in a folder of its own, with the settings beside it that remember the folder."""
    lists = folder / "lists"
    lists.mkdir(exist_ok=True)
    (lists / name).write_text(text, encoding="utf-8")
    keep_folder(folder / "lists-from.txt", lists)
    return lists / name


async def open_list(seat: Any, name: str = "list", *, place: str = "2", row: str = "CURLEW CURLEW/IF") -> None:
    """Open a list from a place."""
    await seat.press(place)
    if row:
        seat.list.select(row)
    await seat.press("I")
    await seat.type(name)
    await seat.press("enter")


def columns_of(seat: Any) -> dict[str, str]:
    """How each heading is read."""
    return {row.about.text: row.about.word for row in seat.list.rows}


def states_of(seat: Any) -> list[tuple[int, str]]:
    """The rows of the file as they stand, by number and state."""
    return [(one.row.row, one.state) for row in seat.list.shown if (one := meant(row))]


def keys_in(shop: Workshop, code: str = "CURLEW/IF") -> dict[str, int]:
    """What the parts list of a section names, and how many of each."""
    return {line.key: line.qty for line in board(shop, code).lines}


@pytest.fixture
def kept(tmp_path: Path) -> dict[str, Any]:
    """Settings that are kept."""
    return {"settings": Settings(), "settings_at": tmp_path / "screen.toml"}


# --- the file --------------------------------------------------------------------------------------------------------


def test_a_path_completes_folders_and_lists_and_the_folder_is_remembered(
    run: Run, sit: Sit, curlew: Path, tmp_path: Path, kept: dict[str, Any]
) -> None:
    write(tmp_path, CLEAR).with_name("notes.txt").write_text("no list")
    deeper = tmp_path / "lists" / "older"
    deeper.mkdir()
    (deeper / "if-board.csv").write_text(CLEAR)

    async def scene() -> None:
        async with sit(curlew, **kept) as seat:
            await seat.press("2")
            seat.list.select("CURLEW CURLEW/IF")
            await seat.press("I")
            assert "Which file is the parts list of CURLEW/IF?" in seat.asked()
            assert "list.csv" in seat.asked()
            assert "notes.txt" not in seat.asked()
            await seat.type("ol")
            assert "list.csv" not in seat.asked()
            await seat.press("enter")
            assert "older/if-board.csv" in seat.asked()
            await seat.type("if")
            await seat.press("enter")
            assert "if-board.csv as the parts list of CURLEW/IF" in " ".join(seat.seen().split())
            await seat.press("escape", "I")
            assert "if-board.csv" in seat.asked()
            assert last_folder(tmp_path / "lists-from.txt") == deeper
            await seat.type("zz")
            await seat.press("enter")
            assert "There is no folder, CSV or XLSX file of that name." in seat.asked()

    run(scene())


def test_what_is_no_list_is_said_until_it_is_read_and_opens_nothing(
    run: Run, sit: Sit, curlew: Path, tmp_path: Path, kept: dict[str, Any]
) -> None:
    write(tmp_path, "\n\n  \n")

    async def scene() -> None:
        async with sit(curlew, **kept) as seat:
            await open_list(seat)
            await seat.press("down", "up")
            assert "It is empty." in seat.seen()
            assert "esc when read" in seat.seen()
            assert seat.frame.panel.place.NAME == "Boards"

    run(scene())


@given(
    st.lists(st.builds(Entry, st.text(st.characters(exclude_characters="/"), min_size=1)), max_size=6),
    st.text(max_size=4),
)
def test_every_completion_goes_on_from_what_is_typed(entries: list[Entry], text: str) -> None:
    head = text.lstrip().rpartition("/")[0]
    tail = text.lstrip().rpartition("/")[2].casefold()
    for one in completions(text, entries):
        assert one.startswith(head)
        assert tail in one.casefold()


# --- the columns -----------------------------------------------------------------------------------------------------


def test_columns_nobody_knows_are_named_once_and_known_the_next_time(
    run: Run, sit: Sit, curlew: Path, tmp_path: Path, kept: dict[str, Any], another: Workshop
) -> None:
    write(tmp_path, FOREIGN)

    async def scene() -> None:
        async with sit(curlew, **kept) as seat:
            await open_list(seat)
            assert "No column names the part" in seat.seen()
            assert columns_of(seat) == {"Kennung": "", "Anzahl": "", "Wert": "", "Bauform": ""}
            for heading, word in (("Kennung", "ref"), ("Anzahl", "qty"), ("Wert", "value")):
                seat.list.select(next(row.key for row in seat.list.rows if row.about.text == heading))
                await seat.press("enter")
                assert f"What stands in the column “{heading}”?" in seat.asked()
                await seat.type(word)
                await seat.press("enter")
            assert columns_of(seat) == {"Kennung": "ref", "Anzahl": "qty", "Wert": "value", "Bauform": ""}
            assert "3 understood, 1 not read" in " ".join(seat.seen().split())
            assert "4k7 / 47k" in seat.seen()
            await seat.press("space", "space")
            assert keys_in(another) == {"R-4K7": 1, "R-47K": 2}
            await open_list(seat)
            assert columns_of(seat)["Wert"] == "value"
            assert "as the last time" in seat.seen()

    run(scene())


def test_two_columns_that_mean_the_same_are_told_apart(
    run: Run, sit: Sit, curlew: Path, tmp_path: Path, kept: dict[str, Any]
) -> None:
    write(tmp_path, "Ref,Qty,Value,Val\nR1,1,brown,4k7\n")

    async def scene() -> None:
        async with sit(curlew, **kept) as seat:
            await open_list(seat)
            seen = " ".join(seat.seen().split())
            assert "both mean value" in seen
            assert "--columns" not in seen
            seat.list.select("3")
            await seat.press("enter")
            await seat.type("value")
            await seat.press("enter")
            assert columns_of(seat) == {"Ref": "ref", "Qty": "qty", "Value": "", "Val": "value"}
            await seat.press("space")
            assert states_of(seat) == [(2, "known")]

    run(scene())


def test_a_column_is_left_out_whatever_its_heading_says(
    run: Run, sit: Sit, curlew: Path, tmp_path: Path, kept: dict[str, Any]
) -> None:
    write(tmp_path, "Ref,Qty,Value,Wert\nR1,1,brown,4k7\n")

    async def scene() -> None:
        async with sit(curlew, **kept) as seat:
            await open_list(seat)
            seat.list.select("2")
            await seat.press("d")
            assert columns_of(seat)["Value"] == ""
            seat.list.select("3")
            await seat.press("enter")
            await seat.type("value")
            await seat.press("enter")
            assert columns_of(seat)["Wert"] == "value"
            await seat.press("d")
            assert columns_of(seat)["Wert"] == ""

    run(scene())


HEADINGS = st.lists(st.sampled_from(["Wert", "Typ, Bauform", "Menge=Stück", "Lage", "Nr."]), unique=True, min_size=1)


@given(HEADINGS, st.data())
def test_a_mapping_as_typed_reads_the_column_that_was_meant(headings: list[str], data: st.DataObject) -> None:
    column = data.draw(st.sampled_from(headings))
    now = Understood("parts list", tuple(Heading(text, "", "", ()) for text in headings), {}, 1)
    mapping = read_mapping(read_as(now, now.headings[headings.index(column)], "value"), "parts list")
    assert resolve(headings, "parts list", mapping, "x.csv").places["value"] == headings.index(column)


def test_what_is_left_out_does_not_come_back_from_what_is_remembered() -> None:
    headings = (Heading("Ref", "ref", "", ()), Heading("Wert", "value", "", ()))
    now = Understood("parts list", headings, {"value": "Wert"}, 1)
    assert left_out(now, "Wert") == "ref=Ref"
    assert typed({}) == ""


# --- the rows --------------------------------------------------------------------------------------------------------


def test_rows_stand_in_the_order_of_their_trouble_and_are_narrowed(
    run: Run, sit: Sit, curlew: Path, tmp_path: Path, kept: dict[str, Any]
) -> None:
    write(tmp_path, FAULTY)

    async def scene() -> None:
        async with sit(curlew, **kept) as seat:
            await open_list(seat)
            await seat.press("space")
            assert states_of(seat) == [
                (2, "at fault"),
                (4, "at fault"),
                (5, "to settle"),
                (3, "known"),
                (6, "known"),
            ]
            assert seat.row() == "row 2"
            assert "Nothing is written yet." in " ".join(seat.seen().split())
            assert "--trust" not in seat.seen()
            await seat.press("slash")
            await seat.type("47k")
            await seat.press("enter")
            assert states_of(seat) == [(3, "known")]
            await seat.press("enter")
            assert "it means: R-47K by value" in seat.seen()

    run(scene())


def test_settling_one_row_after_the_other_till_the_list_can_be_taken_in_and_taken_back(
    run: Run, sit: Sit, curlew: Path, tmp_path: Path, kept: dict[str, Any], another: Workshop
) -> None:
    path = write(tmp_path, FAULTY)
    before = keys_in(another)

    async def scene() -> None:
        async with sit(curlew, **kept) as seat:
            await open_list(seat)
            await seat.press("space", "I")
            said = " ".join(seat.seen().split())
            assert "2 rows are at fault and 1 question is to be settled." in said
            await seat.press("escape")
            await seat.press("space")
            assert "Which part is “Crystal 455k” in row 5?" in " ".join(seat.asked().split())
            await seat.type("new")
            await seat.press("enter")
            assert (5, "new part") in states_of(seat)
            await seat.press("space")
            assert "quantity and designators disagree" in seat.asked()
            await seat.type("desig")
            await seat.press("enter")
            assert [state for _, state in states_of(seat)].count("at fault") == 1
            path.write_text(FAULTY.replace("some", "1"), encoding="utf-8")
            await seat.press("space")
            assert all(state in ("known", "new part") for _, state in states_of(seat))
            assert keys_in(another) == before
            await seat.press("space")
            assert seat.frame.panel.place.NAME == "Boards"
            assert seat.row() == "CURLEW CURLEW/IF"
            assert "Took list.csv into CURLEW/IF" in seat.seen()
            assert keys_in(another) == {"R-4K7": 4, "R-47K": 1, "C-100N": 2, "Crystal-455k": 1}
            await seat.press("u")
            assert keys_in(another) == before

    run(scene())


def test_enter_on_a_row_that_can_be_mended_here_asks_what_holds(
    run: Run, sit: Sit, curlew: Path, tmp_path: Path, kept: dict[str, Any], another: Workshop
) -> None:
    write(tmp_path, "Ref;Qty;Value\nR1-R3;5;4k7\n")

    async def scene() -> None:
        async with sit(curlew, **kept) as seat:
            await open_list(seat)
            await seat.press("space", "enter")
            await seat.type("quantity")
            await seat.press("enter", "space")
            assert keys_in(another) == {"R-4K7": 5}

    run(scene())


def test_a_near_match_is_settled_by_a_candidate_another_part_or_skipped(
    run: Run, sit: Sit, curlew: Path, tmp_path: Path, kept: dict[str, Any], another: Workshop
) -> None:
    write(tmp_path, "Ref;Value;Package\nR1;5k1;\nR2;6k8;\nR3;8k2;\nR4;47k;\n")

    async def scene() -> None:
        async with sit(curlew, **kept) as seat:
            await open_list(seat)
            await seat.press("space")
            assert [number for number, state in states_of(seat) if state == "to settle"] == [2, 3, 4]
            await seat.press("enter")
            await seat.type("another")
            await seat.press("enter")
            await seat.type("r-4k7")
            await seat.press("enter")
            assert seat.row() == "row 3"
            await seat.press("space")
            await seat.type("skip")
            await seat.press("enter")
            assert seat.row() == "row 4"
            await seat.press("d")
            assert states_of(seat) == [(2, "known"), (3, "skipped"), (4, "skipped"), (5, "known")]
            seat.list.select("row 5")
            await seat.press("v")
            await seat.type("c-100n")
            await seat.press("enter", "I")
            assert keys_in(another) == {"R-4K7": 1, "C-100N": 1}

    run(scene())


def test_candidates_are_offered_with_what_speaks_against_them(
    run: Run, sit: Sit, curlew: Path, tmp_path: Path, kept: dict[str, Any], another: Workshop
) -> None:
    from buildbook.actions import stores

    stores.new_part(another, "R-4K7-B", kind="resistor", value="4k7")
    write(tmp_path, "Ref;Value\nR1;4k7\nR2;4k7\n")

    async def scene() -> None:
        async with sit(curlew, **kept) as seat:
            await open_list(seat)
            await seat.press("space")
            assert "R-4K7 or R-4K7-B?" in seat.seen()
            await seat.press("enter")
            assert "in row 2, 3?" in " ".join(seat.asked().split())
            assert "another one fits as well" in seat.asked()
            await seat.type("-b")
            await seat.press("enter")
            assert states_of(seat) == [(2, "known"), (3, "known")]
            await seat.press("space")
            assert keys_in(another) == {"R-4K7-B": 2}

    run(scene())


def test_unknown_parts_are_made_all_at_once(
    run: Run, sit: Sit, curlew: Path, tmp_path: Path, kept: dict[str, Any]
) -> None:
    write(tmp_path, "Ref;Value\nR1;5k1\nR2;6k8\nX1;Crystal 455k\n")

    async def scene() -> None:
        async with sit(curlew, **kept) as seat:
            await open_list(seat)
            await seat.press("space", "a")
            assert {state for _, state in states_of(seat)} == {"new part"}
            await seat.press("enter")
            assert "new part R-5k1" in seat.seen()
            await seat.press("a")
            assert {state for _, state in states_of(seat)} == {"to settle"}

    run(scene())


@pytest.mark.parametrize("steps", [(), ("space",), ("space", "enter"), ("space", "a")])
def test_esc_leaves_with_nothing_written(
    run: Run, sit: Sit, curlew: Path, tmp_path: Path, kept: dict[str, Any], another: Workshop, steps: tuple[str, ...]
) -> None:
    write(tmp_path, FAULTY)
    before = stream(another).rows

    async def scene() -> None:
        async with sit(curlew, **kept) as seat:
            await open_list(seat)
            await seat.press(*steps, "escape", "escape", "escape")
            assert seat.frame.panel.place.NAME == "Boards"
            assert seat.row() == "CURLEW CURLEW/IF"

    run(scene())
    assert stream(another).rows == before


def test_a_list_that_changed_since_it_was_shown_is_not_taken_in(
    run: Run, sit: Sit, curlew: Path, tmp_path: Path, kept: dict[str, Any], another: Workshop
) -> None:
    path = write(tmp_path, CLEAR)
    before = keys_in(another)

    async def scene() -> None:
        async with sit(curlew, **kept) as seat:
            await open_list(seat)
            await seat.press("space")
            path.write_text(CLEAR.replace("R4;1;47k", "R4,R5;2;47k"))
            await seat.press("space")
            assert "has changed since these rows were worked out" in " ".join(seat.seen().split())
            assert keys_in(another) == before
            await seat.press("escape", "space")
            assert keys_in(another) == {"R-4K7": 3, "R-47K": 2}

    run(scene())


def test_what_goes_and_what_changes_is_told_before_the_rows(
    run: Run, sit: Sit, curlew: Path, tmp_path: Path, kept: dict[str, Any]
) -> None:
    write(tmp_path, "Ref;Value\nR1,R2;4k7\nC1,C2;100n\n")

    async def scene() -> None:
        async with sit(curlew, **kept) as seat:
            await open_list(seat)
            await seat.press("space")
            told = [text_of(cell) for row in seat.list.rows[:2] for cell in row.cells]
            assert told == ["", "gone", "T1, T2 IFT-455", "", "changed", "R1, R2 R-4K7: quantity 2, was 3, R3 gone"]
            assert seat.row() == "change 0"

    run(scene())


def test_twenty_thousand_rows_are_shown_and_narrowed(
    run: Run, sit: Sit, curlew: Path, tmp_path: Path, kept: dict[str, Any]
) -> None:
    rows = "".join(f"R{number};4k7;row {number}\n" for number in range(1, 20_001))
    write(tmp_path, f"Ref;Value;Note\n{rows}")

    async def scene() -> None:
        async with sit(curlew, **kept) as seat:
            await open_list(seat)
            await seat.press("space", "end")
            assert seat.row() == "row 20001"
            await seat.press("slash")
            await seat.type("r19999")
            await seat.press("enter")
            assert [row.key for row in seat.list.shown] == ["row 20000"]

    run(scene())


# --- other lists, other ways in --------------------------------------------------------------------------------------


def test_a_stock_list_is_taken_in_as_a_count(
    run: Run, sit: Sit, curlew: Path, tmp_path: Path, kept: dict[str, Any], another: Workshop
) -> None:
    write(tmp_path, "Part;Bin;Counted\nR-4K7;A1;7\nC-100N;B7;3\n")

    async def scene() -> None:
        async with sit(curlew, **kept) as seat:
            await open_list(seat, place="3", row="")
            await seat.press("space")
            assert "R-4K7 in A1: 7, was 10" in seat.seen()
            await seat.press("space")
            assert seat.frame.panel.place.NAME == "Stores"
            assert dict(where(another, "R-4K7").bins)["A1"] == 7
            assert dict(where(another, "C-100N").bins)["B7"] == 3

    run(scene())


def test_a_price_list_asks_whose_it_is(
    run: Run, sit: Sit, curlew: Path, tmp_path: Path, kept: dict[str, Any], another: Workshop
) -> None:
    buying.new_supplier(another, "QUAYSIDE", "Quayside Spares")
    buying.new_supplier(another, "MILLLANE", "Mill Lane Surplus")
    write(tmp_path, "Part,Order code,1+,10+\nR-4K7,Q100,0.05,0.04\n", "quayside-2027.csv")

    async def scene() -> None:
        async with sit(curlew, **kept) as seat:
            await open_list(seat, "quay", place="4", row="")
            assert "Whose price list is it?" in seat.asked()
            await seat.press("enter")
            assert "price list of QUAYSIDE" in " ".join(seat.seen().split())
            assert columns_of(seat)["10+"] == "price from 10"
            await seat.press("space", "space")
            assert seat.frame.panel.place.NAME == "Buying"
            assert "1 new offer" in seat.seen()
            assert offered(another, "R-4K7")

    run(scene())


def test_every_kind_of_list_is_found_among_the_actions(run: Run, sit: Sit, curlew: Path) -> None:
    async def scene() -> None:
        async with sit(curlew, size=(120, 30)) as seat:
            for word, place in (("parts list for", "Boards"), ("stock list", "Stores"), ("price list, from", "Buying")):
                await seat.press("colon")
                await seat.type(word)
                await seat.press("enter")
                if "Into which section?" in seat.asked():
                    await seat.type("if")
                    await seat.press("enter")
                assert "Which file is the" in seat.asked()
                assert place == seat.frame.panel.place.NAME
                await seat.press("escape")

    run(scene())


def test_an_empty_workshop_begins_with_a_list(run: Run, sit: Sit, tmp_path: Path, kept: dict[str, Any]) -> None:
    write(tmp_path, CLEAR)
    path = tmp_path / "new.db"

    async def scene() -> None:
        async with sit(path, **kept) as seat:
            await seat.press("down", "space")
            await seat.type("list")
            await seat.press("enter")
            await seat.type("wren")
            await seat.press("enter")
            await seat.type("amp")
            await seat.press("enter")
            assert "list.csv as the parts list of WREN/AMP" in " ".join(seat.seen().split())
            await seat.press("space")
            assert {state for _, state in states_of(seat)} == {"new part"}
            await seat.press("space")
            assert "Took list.csv into WREN/AMP" in seat.seen()
            assert seat.frame.panel.place.NAME == "Boards"
            assert "AMP" in seat.seen()

    run(scene())
    shop = Workshop(path)
    assert keys_in(shop, "WREN/AMP") == {"R-4k7": 3, "R-47k": 1}
    shop.close()


# --- by themselves ---------------------------------------------------------------------------------------------------


def test_options_of_the_command_line_are_told_as_keys() -> None:
    assert as_said_here("The quantity is 3, but R1 makes 1 (--trust refs or qty decides).").endswith(
        "makes 1 (enter says which of them holds)."
    )
    assert "--" not in as_said_here('Both mean value. Say which it is with --columns "value=Val".')


ROWS = st.lists(st.tuples(st.sampled_from(["R-1 by value", "unknown", "choose", "blank row"]), st.booleans()))


@given(ROWS)
def test_every_row_is_told_once_faults_first_then_questions(said: list[tuple[str, bool]]) -> None:
    rows = tuple(PlanRow(number, "", "", f"text {number}", what) for number, (what, _) in enumerate(said, 1))
    faults = tuple(Fault(number, "", "wrong") for number, (_, wrong) in enumerate(said, 1) if wrong)
    asked = tuple(
        Question(f"text {number}", (number,), (), "none known")
        for number, (what, _) in enumerate(said, 1)
        if what in ("unknown", "choose")
    )
    plan = Plan("", "parts list", "", (), (), 0, rows, faults, asked, (), ())
    found = meanings(plan)
    assert sorted(one.row.row for one in found) == [row.row for row in rows]
    ranks = [ORDER.get(one.state, 2) for one in found]
    assert ranks == sorted(ranks)
    assert sum(one.state == "at fault" for one in found) == len(faults)

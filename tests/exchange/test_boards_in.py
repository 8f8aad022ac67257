"""Parts lists in: what each row means, what is refused, what is asked, and what a list that comes again changes."""

from __future__ import annotations

from pathlib import Path

import pytest
from openpyxl import Workbook

from buildbook.actions import boards, checks, kits, stores
from buildbook.actions.workshop import Workshop, undo
from buildbook.errors import BadInput, Forbidden
from buildbook.exchange.boards import Prepared, apply, prepare
from buildbook.exchange.gathering import Asked

IF = "CURLEW/IF"


@pytest.fixture
def curlew(shop: Workshop) -> Workshop:
    """The Curlew with an empty IF board, and a few parts."""
    boards.new_project(shop, "CURLEW", "Curlew receiver")
    boards.new_assembly(shop, "CURLEW", "IF", "IF board")
    stores.new_part(shop, "R-4K7", kind="resistor", value="4k7 1% 0.6W", package="0207")
    stores.new_part(shop, "R-10K", kind="resistor", value="10k 1% 0.6W", package="0207")
    stores.new_part(shop, "P-10K", kind="potentiometer", value="10k log")
    stores.new_part(shop, "C-100N", kind="capacitor", value="100n 63V film", package="radial 5 mm")
    stores.new_part(shop, "V-EF89", kind="valve", name="EF89", maker_number="EF89", package="noval")
    stores.new_part(shop, "W-RED", kind="wire", name="Red hook-up wire", unit="mm")
    stores.new_part(shop, "SC-M3", kind="hardware", name="Screw M3x8")
    return shop


@pytest.fixture
def listed(tmp_path: Path) -> Path:
    return tmp_path / "if-board.csv"


def take(shop: Workshop, path: Path, text: str, asked: Asked = Asked()) -> Prepared:  # noqa: B008 (frozen)
    path.write_text(text, encoding="utf-8")
    prepared = prepare(shop, path, IF, asked)
    apply(shop, prepared)
    return prepared


def plan_of(shop: Workshop, path: Path, text: str, asked: Asked = Asked()) -> Prepared:  # noqa: B008 (frozen)
    path.write_text(text, encoding="utf-8")
    return prepare(shop, path, IF, asked)


def lines(shop: Workshop) -> list[tuple[str, int, str]]:
    statement = """
        SELECT p.key, l.qty, l.refs || CASE l.fitted WHEN 1 THEN '' ELSE ' not fitted' END
          FROM line AS l JOIN part AS p ON p.id = l.part_id ORDER BY l.position
    """
    return shop.reads.execute(statement).fetchall()


def means(prepared: Prepared) -> list[str]:
    return [row.what for row in prepared.plan.rows]


def faults(prepared: Prepared) -> list[str]:
    return [str(fault) for fault in prepared.plan.faults]


def count(shop: Workshop, table: str) -> int:
    return int(shop.reads.execute(f"SELECT count(*) FROM {table}").fetchone()[0])


# --- rows ------------------------------------------------------------------------------------------------------------


def test_a_list_comes_in_whatever_its_columns(curlew: Workshop, listed: Path) -> None:
    prepared = take(
        curlew,
        listed,
        "Curlew IF board\n\nQty;Val;Case;Ref Des;Remarks\n"
        "3;4k7;0207;R1-R3;\n2;0.1 uF;radial 5mm;C1,C2;near V1\n1;EF89;;V1;\n2,5 m;Red hook-up wire;;;harness\n",
    )
    assert lines(curlew) == [("R-4K7", 3, "R1-R3"), ("C-100N", 2, "C1, C2"), ("V-EF89", 1, "V1"), ("W-RED", 2500, "")]
    assert means(prepared) == ["R-4K7 by value", "C-100N by value", "V-EF89 by name", "W-RED by name"]
    assert prepared.plan.sentence == (
        "if-board.csv into CURLEW/IF: 4 rows, 4 new lines, 0 gone, 0 changed, 0 the same."
    )


def test_a_workbook_comes_in_as_well(curlew: Workshop, tmp_path: Path) -> None:
    book = Workbook()
    sheet = book.active
    assert sheet is not None
    for row in (["Curlew"], ["Designator", "Quantity", "Value"], ["R1, R2", 2, "4k7"], ["C1", 1.0, "100n"]):
        sheet.append(row)
    book.save(tmp_path / "if.xlsx")
    apply(curlew, prepare(curlew, tmp_path / "if.xlsx", IF))
    assert lines(curlew) == [("R-4K7", 2, "R1, R2"), ("C-100N", 1, "C1")]


def test_one_row_a_designator_becomes_one_line(curlew: Workshop, listed: Path) -> None:
    take(curlew, listed, "Ref,Value,Note\nR1,4k7,\nC1,100n,\nR2,4700,\nR3,4k7,hot\nR4,4k7,\n")
    assert lines(curlew) == [("R-4K7", 3, "R1, R2, R4"), ("C-100N", 1, "C1"), ("R-4K7", 1, "R3")]


def test_rows_without_designators_stay_apart(curlew: Workshop, listed: Path) -> None:
    take(curlew, listed, "Description,Qty,Note\nScrew M3x8,4,\nScrew M3x8,4,\n")
    assert lines(curlew) == [("SC-M3", 4, ""), ("SC-M3", 4, "")]


@pytest.mark.parametrize(
    ("trust", "qty"),
    [("refs", 3), ("qty", 4)],
)
def test_a_quantity_that_disagrees_with_its_designators_is_settled_by_trust(
    curlew: Workshop, listed: Path, trust: str, qty: int
) -> None:
    text = "Ref,Qty,Value\nC1,1,100n\nR1-R3,4,4k7\n"
    assert faults(plan_of(curlew, listed, text)) == [
        "row 3, Qty: The quantity is 4, but R1-R3 makes 3 (--trust refs or qty decides)."
    ]
    take(curlew, listed, text, Asked(trust=trust))
    assert lines(curlew)[1] == ("R-4K7", qty, "R1-R3")
    again = plan_of(curlew, listed, f"Ref,Qty,Value\nC1,1,100n\nR1-R3,{qty},4k7\n")
    assert len(again.difference.same) == 2, "what was settled once is not asked again"


def test_section_rows_blank_rows_and_totals_are_set_aside(curlew: Workshop, listed: Path) -> None:
    prepared = take(
        curlew,
        listed,
        "Ref,Value,Qty\n-- Input --,,\nR1,4k7,1\n,,\nPower supply,,\n,Output stage,\nC1,100n,1\nTotal,,2\n"
        ",Total parts: 2,\n",
    )
    assert means(prepared) == [
        *("section row", "R-4K7 by value", "section row", "section row", "C-100N by value", "total row", "total row")
    ]


def test_a_part_that_begins_like_a_total_is_no_total(curlew: Workshop, listed: Path) -> None:
    stores.new_part(curlew, "Sum amplifier")
    take(curlew, listed, "Part,Qty\nSum amplifier,1\n")
    assert lines(curlew) == [("Sum amplifier", 1, "")]


def test_a_full_row_that_begins_with_a_sum_is_an_entry(curlew: Workshop, listed: Path) -> None:
    for key in ("Sum 2", "Total"):
        stores.new_part(curlew, key)
    take(curlew, listed, "Part,Qty,Note,Fitted\nSum 2,1,x,yes\nTotal,1,x,yes\nTotal,2,,\n")
    assert lines(curlew) == [("Sum 2", 1, ""), ("Total", 1, "")]
    take(curlew, listed, "Value,Qty,Note,Fitted,Maker\nSum 2,1,x,yes,Tern\nTotal,1,x,,y\n")
    assert lines(curlew) == [("Sum 2", 1, "")]


@pytest.mark.parametrize("lone", ["R7", "C?", "R1-", "IC1A,"])
def test_a_lone_word_that_looks_like_a_designator_is_no_section(curlew: Workshop, listed: Path, lone: str) -> None:
    prepared = plan_of(curlew, listed, f'Ref,Value,Qty\nR1,4k7,1\n"{lone}",,\n')
    assert faults(prepared)[0].startswith("row 3")


def test_a_list_without_entries_takes_nothing_away(curlew: Workshop, listed: Path) -> None:
    take(curlew, listed, "Ref,Value\nR1,4k7\n")
    with pytest.raises(BadInput, match=r"It lists nothing below its headings"):
        take(curlew, listed, "Ref,Value\nInput,\n")
    assert len(lines(curlew)) == 1


# --- not to be fitted ------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("headings", "cells"),
    [
        ("DNF", "x"),
        ("DNP", "DNP"),
        ("Not fitted", "yes"),
        ("Do not populate", "1"),
        ("Fitted", "no"),
        ("Populate?", "FALSE"),
        ("Mounted", "0"),
        ("Fitted", "DNF"),
        ("Placed", "not placed"),
        ("Note", "DNF"),
        ("Note", "spare; do not fit"),
        ("Note", "DNP for now"),
    ],
)
def test_do_not_fit_is_said_in_many_ways(curlew: Workshop, listed: Path, headings: str, cells: str) -> None:
    take(curlew, listed, f"Ref,Value,{headings}\nR1,4k7,{cells}\nC1,100n,\n")
    assert lines(curlew) == [("R-4K7", 1, "R1 not fitted"), ("C-100N", 1, "C1")]


@pytest.mark.parametrize("value", ["4k7 DNF", "4k7 (DNP)", "DNF, 4k7", "4k7 do not fit", "4k7/DNF"])
def test_do_not_fit_may_stand_with_the_value(curlew: Workshop, listed: Path, value: str) -> None:
    take(curlew, listed, f'Ref,Value\nR1,"{value}"\n')
    assert lines(curlew) == [("R-4K7", 1, "R1 not fitted")]


@pytest.mark.parametrize(
    ("headings", "cells"),
    [("DNF", "no"), ("Fitted", "x"), ("Fitted", "✓"), ("Note", "do not fit before C3"), ("Note", "fit with care")],
)
def test_what_is_to_be_fitted_is(curlew: Workshop, listed: Path, headings: str, cells: str) -> None:
    take(curlew, listed, f"Ref,Value,{headings}\nR1,4k7,{cells}\n")
    assert lines(curlew) == [("R-4K7", 1, "R1")]


def test_the_column_goes_before_the_note(curlew: Workshop, listed: Path) -> None:
    take(curlew, listed, "Ref,Value,Fitted,Note\nR1,4k7,yes,DNF in the first issue\n")
    assert lines(curlew) == [("R-4K7", 1, "R1")]


def test_a_designator_without_a_part_that_is_not_fitted_is_left_out(curlew: Workshop, listed: Path) -> None:
    prepared = take(curlew, listed, "Ref,Value,Package,Fitted\nR1,4k7,,yes\nR2,DNF,0207,\nR3,,0207,no\n")
    assert means(prepared)[1:] == ["no part, not fitted", "no part, not fitted"]
    assert lines(curlew) == [("R-4K7", 1, "R1")]


def test_what_is_not_fitted_may_be_counted_as_nothing(curlew: Workshop, listed: Path) -> None:
    take(curlew, listed, 'Ref,Qty,Value,DNF\n"R1,R2",0,4k7,x\n')
    assert lines(curlew) == [("R-4K7", 2, "R1, R2 not fitted")]


# --- which part ------------------------------------------------------------------------------------------------------


def test_key_number_and_value_lead_to_the_part(curlew: Workshop, listed: Path) -> None:
    prepared = take(
        curlew, listed, "Ref,Part,MPN,Value,Package\nR1,r-4k7,,,\nV1,,EF-89,,\nR2,,,10k 5% 0.25W,\nC1,,,100 nF 50V,\n"
    )
    assert means(prepared) == ["R-4K7 by key", "V-EF89 by number", "R-10K by value", "C-100N by value"]


def test_keys_that_differ_in_the_eye_of_a_computer_only_are_told_apart(curlew: Workshop, listed: Path) -> None:
    for key in ("MASSE", "MAßE"):
        stores.new_part(curlew, key)
    assert means(take(curlew, listed, "Part,Qty\nMAßE,1\nMASSE,1\n")) == ["MAßE by key", "MASSE by key"]


def test_ratings_that_fall_short_are_asked_about(curlew: Workshop, listed: Path) -> None:
    prepared = plan_of(curlew, listed, "Ref,Value,Package\nR1,4k7 1W,\nC1,100n 400V,\nR2,4k7,0805\n")
    assert [question.in_words for question in prepared.plan.questions] == [
        "R-4K7 (rated 0.6 W, 1 W wanted)",
        "C-100N (rated 63 V, 400 V wanted)",
        "R-4K7 (package 0207, 0805 wanted)",
    ]
    assert prepared.plan.sentence == "if-board.csv into CURLEW/IF: 3 rows, 3 questions."


def test_a_bare_value_is_a_resistor_here_and_a_potentiometer_there(curlew: Workshop, listed: Path) -> None:
    prepared = take(curlew, listed, "Ref,Value\nR1,10k\nRV1,10k\nVR2,10k log pot\n")
    assert means(prepared) == ["R-10K by value", "P-10K by value", "P-10K by value"]


def test_a_description_may_hold_the_kind_and_the_value(curlew: Workshop, listed: Path) -> None:
    prepared = take(curlew, listed, "Description,Qty\nResistor 4k7 1% 0.6W,2\nFilm capacitor 100n 63V,1\n")
    assert means(prepared) == ["R-4K7 by value", "C-100N by value"]


def test_a_column_headed_part_may_hold_values(curlew: Workshop, listed: Path) -> None:
    assert means(take(curlew, listed, "Part,Ref\n4k7,R1\nEF89,V1\n")) == ["R-4K7 by value", "V-EF89 by name"]


# --- new parts -------------------------------------------------------------------------------------------------------


def test_new_parts_carry_all_that_the_row_says(curlew: Workshop, listed: Path) -> None:
    take(
        curlew,
        listed,
        "Ref,Qty,Value,Package,Manufacturer,MPN,Description\nU1,1,TL072,DIL8,Tern,TL072CP,Dual op amp\n"
        "R1,1,22k 1%,0207,,,\n,2.5 m,,,,,Screened lead\n",
        Asked(new_parts=True),
    )
    statement = "SELECT key, kind, value_text, package, maker, maker_number, name, unit FROM part WHERE id > 7"
    assert curlew.reads.execute(statement).fetchall() == [
        ("TL072CP", "ic", "TL072", "DIL8", "Tern", "TL072CP", "Dual op amp", "pc"),
        ("R-22k-1%", "resistor", "22k 1%", "0207", "", "", "", "pc"),
        ("Screened-lead", "wire", "", "", "", "", "Screened lead", "mm"),
    ]


def test_two_spellings_of_one_value_make_one_part(curlew: Workshop, listed: Path) -> None:
    prepared = take(curlew, listed, "Ref,Value\nC1,220n\nC2,0.22 uF\nR1,220k\n", Asked(new_parts=True))
    assert [part.key for part in prepared.plan.new_parts] == ["C-220n", "R-220k"]


def test_where_something_comes_near_no_part_is_made_unasked(curlew: Workshop, listed: Path) -> None:
    text = "Ref,Value\nR1,4k7 1W\nV1,EF80\nR2,Resistor\nC1,1n\n"
    prepared = plan_of(curlew, listed, text, Asked(new_parts=True))
    assert [part.key for part in prepared.plan.new_parts] == ["C-1n"]
    assert [(question.asked, question.in_words) for question in prepared.plan.questions] == [
        ("4k7 1W | resistor", "R-4K7 (rated 0.6 W, 1 W wanted)"),
        ("EF80", "V-EF89 (EF89, EF80 wanted)"),
        ("Resistor | resistor", "it gives no value"),
    ]
    with pytest.raises(BadInput, match=r"3 descriptions must be settled first, such as “4k7 1W | resistor” in row 2."):
        apply(curlew, prepared)
    assert count(curlew, "part") == 7


def test_so_many_of_a_wire_may_be_metres_or_pieces(curlew: Workshop, listed: Path) -> None:
    prepared = plan_of(curlew, listed, "Description,Qty\nGreen wire,3\n", Asked(new_parts=True))
    assert faults(prepared) == ["row 2, Qty: It does not say of what 3 are, such as 3 m, 3 g or 3 pcs."]


# --- all or nothing --------------------------------------------------------------------------------------------------


def test_planning_writes_nothing(curlew: Workshop, listed: Path) -> None:
    before = {table: count(curlew, table) for table in ("part", "line", "part_alias", "column_map", "journal_entry")}
    plan_of(curlew, listed, "Ref,Wert\nR1,4k7\nU1,TL072\n", Asked(columns="value=Wert", new_parts=True))
    assert {table: count(curlew, table) for table in before} == before


def test_an_import_is_one_action_and_undo_takes_all_of_it_back(curlew: Workshop, listed: Path) -> None:
    tables = ("part", "line", "part_alias", "column_map")
    before = {table: count(curlew, table) for table in tables}
    entries = count(curlew, "journal_entry")
    take(curlew, listed, "Ref,Wert\nR1,4k7\nR2,22k\n", Asked(columns="value=Wert", new_parts=True))
    assert {table: count(curlew, table) - before[table] for table in tables} == dict.fromkeys(tables, 1) | {"line": 2}
    assert count(curlew, "journal_entry") == entries + 1
    assert undo(curlew) == "Take if-board.csv into CURLEW/IF"
    assert {table: count(curlew, table) for table in tables} == before


def test_one_row_at_fault_holds_back_the_whole_list(curlew: Workshop, listed: Path) -> None:
    with pytest.raises(BadInput) as refused:
        take(curlew, listed, "Ref,Qty,Value\nR1,1,4k7\nR2,-3,4k7\nR3,1.5,4k7\nR4,2 or 3,4k7\n")
    assert str(refused.value) == (
        "“if-board.csv” was not read in. Row 3, Qty: “-3” is less than nothing (and 2 more rows are at fault)."
        " Mend it in the list; --dry-run shows every row."
    )
    assert lines(curlew) == []


# --- options ---------------------------------------------------------------------------------------------------------


def test_rows_of_different_options_may_share_a_designator(curlew: Workshop, listed: Path) -> None:
    checks.ask(curlew, "CURLEW", "RECT", "Which rectifier?", {"VALVE": "Valve", "SIL": "Silicon diodes"})
    take(curlew, listed, "Ref,Value,Option,Loss %\nR1,4k7,RECT:VALVE,\nR1,10k,sil,2.5 %\n")
    assert lines(curlew) == [("R-4K7", 1, "R1"), ("R-10K", 1, "R1")]
    assert curlew.reads.execute("SELECT loss_bp FROM line ORDER BY id").fetchall() == [(0,), (250,)]
    wrong = plan_of(curlew, listed, "Ref,Value,Option,Loss %\nR1,4k7,TUBE,\nR2,4k7,,101\nR3,4k7,,lots\n")
    assert faults(wrong) == [
        "row 2, Option: There is no option “TUBE”; the project has RECT:SIL, RECT:VALVE.",
        "row 3, Loss %: “101” is more than 100 %.",
        "row 4, Loss %: “lots” is no allowance in percent, such as 5 or 2.5 %.",
    ]


# --- again -----------------------------------------------------------------------------------------------------------


def test_a_list_that_comes_again_changes_exactly_what_differs(curlew: Workshop, listed: Path) -> None:
    take(curlew, listed, "Ref,Value\nR1,4k7\nR2,4k7\nC1,100n\nV1,EF89\n")
    numbers = dict(curlew.reads.execute("SELECT refs, id FROM line").fetchall())
    prepared = take(curlew, listed, "Ref,Value\nR1,4k7\nR2,10k\nC1,100n\nC2,100n\n")
    assert prepared.plan.changes == (
        "added: R2 R-10K",
        "gone: V1 V-EF89",
        "changed: R1 R-4K7: quantity 1, was 2, R2 gone",
        "changed: C1, C2 C-100N: quantity 2, was 1, C2 added",
    )
    after = dict(curlew.reads.execute("SELECT refs, id FROM line").fetchall())
    assert after == {"R1": numbers["R1, R2"], "C1, C2": numbers["C1"], "R2": max(numbers.values()) + 1}
    assert len(take(curlew, listed, "Ref,Value\nR1,4k7\nR2,10k\nC1,100n\nC2,100n\n").difference.same) == 3


def test_what_was_kitted_and_fitted_stays_with_lines_that_stay(curlew: Workshop, listed: Path) -> None:
    stores.new_bin(curlew, "A1")
    stores.receive(curlew, "R-4K7", "A1", 10)
    take(curlew, listed, "Ref,Value\nR1,4k7\nR2,4k7\nC1,100n\n")
    kits.kit_assembly(curlew, "CURLEW", "IF")
    kits.fit_lines(curlew, "CURLEW", "IF", refs="R1")
    held = curlew.reads.execute("SELECT line_id, kitted, fitted FROM holding").fetchall()
    take(curlew, listed, "Ref,Value,Note\nR1,4k7,\nR2,4k7,\nV1,EF89,\n")
    assert curlew.reads.execute("SELECT line_id, kitted, fitted FROM holding").fetchall() == held
    with pytest.raises(Forbidden) as refused:
        take(curlew, listed, "Ref,Value\nV1,EF89\n")
    assert str(refused.value) == (
        "The list of CURLEW/IF was not taken in: R1, R2 would go. Parts for it are held by CURLEW."
        " Give them back to the drawers first."
    )
    assert curlew.reads.execute("SELECT line_id, kitted, fitted FROM holding").fetchall() == held


def test_lines_that_are_apart_stay_apart(curlew: Workshop, listed: Path) -> None:
    from buildbook.actions.lists import add_line

    add_line(curlew, IF, "R-4K7", refs="R1, R2")
    add_line(curlew, IF, "R-4K7", refs="R3")
    prepared = plan_of(curlew, listed, "Ref,Value\nR1,4k7\nR2,4k7\nR3,4k7\n")
    assert (len(prepared.difference.same), prepared.plan.changes) == (2, ())

"""The bench copy of a board: read back from the PDF, it says what the answers say, and hostile text stays text."""

from __future__ import annotations

from dataclasses import replace
from io import BytesIO
from pathlib import Path

import html5lib
import pytest
from pypdf import PdfReader

from buildbook.actions import boards, checklists, lists, measuring, stores
from buildbook.actions.checklists import NewStep
from buildbook.actions.measuring import NewPoint
from buildbook.actions.workshop import Workshop
from buildbook.answers.board import Board, InBin, LineRow, StandInUse, board
from buildbook.answers.measuring import sheet
from buildbook.publish.bands import bands_on, in_words
from buildbook.publish.bench_copy import bench_copy, bench_copy_of, checklist, part_row, whereabouts
from buildbook.publish.document import Boxes, Paper, Table, Text
from buildbook.publish.rendered import render
from buildbook.publish.typeset import render_pages, render_pdf
from buildbook.trade.units import Unit, show_quantity

HOSTILE = ('#panic("out")', '"); #read("x") //', "<script>alert(1)</script>", "$ x $ *b* _i_ `r` @a <l>", "\u202eabc")
PDF, HTML = Path("copy.pdf"), Path("copy.html")


def close(pdf: bytes) -> str:
    """All the text without its blanks: where lines and words are broken does not matter."""
    reader = PdfReader(BytesIO(pdf), strict=True)
    return "".join("".join(page.extract_text() for page in reader.pages).split())


def squeezed(text: str) -> str:
    return "".join(text.split())


def many_lines(board: Board, count: int) -> Board:
    first = board.lines[0]
    rows = tuple(replace(first, line=at, refs=f"R{at}", key=f"R-{at}-TEST") for at in range(1, count + 1))
    return replace(board, lines=rows)


def test_every_part_step_and_limit_of_the_demo_is_on_paper(demo_to_read: Workshop) -> None:
    for code in ("CURLEW/AUDIO", "CURLEW/CASE", "CURLEW", "LINNET/REG"):
        shown = board(demo_to_read, code)
        said = close(render(bench_copy_of(demo_to_read, code), PDF))
        assert squeezed(shown.sentence) in said
        assert shown.lines
        for row in shown.lines:
            need = show_quantity(row.need or row.qty, Unit(row.unit))
            words = f"{need}{row.refs}{row.key}" if row.state not in ("not fitted", "not chosen") else row.key
            assert squeezed(words) in said, words
        for step in shown.steps:
            assert squeezed(step.name) in said
            assert squeezed(step.caution) in said
        for point in sheet(demo_to_read, shown.build, shown.code).rows:
            assert squeezed(point.limits) in said
            assert squeezed(point.caution) in said


def test_the_bands_of_every_clear_resistor_are_drawn_and_said(demo_to_read: Workshop) -> None:
    content = bench_copy_of(demo_to_read, "CURLEW/AUDIO")
    table = next(block for block in content.blocks if isinstance(block, Table))
    resistors = [row for row in board(demo_to_read, "CURLEW/AUDIO").lines if row.kind == "resistor" and row.need]
    assert len(table.drawn) == len(resistors) > 5
    said = close(render_pdf(content))
    for row, drawn in zip(resistors, table.drawn, strict=True):
        bands = bands_on(row.value, row.name)
        assert bands
        assert drawn.picture.alt == in_words(bands.colours)
        assert table.rows[drawn.row][3] == row.key
        assert squeezed(in_words(bands.colours)) in said
    # IEC 60062: 4.7 kΩ, 1 %: yellow, violet, black for 470, brown for x 10, brown for 1 %.
    assert "4k70.6Wyellowvioletblackbrownbrown" in said


@pytest.mark.parametrize(("paper", "wide", "high"), [("a4", 595.28, 841.89), ("us-letter", 612.0, 792.0)])
def test_it_fits_the_paper_asked_for(demo_to_read: Workshop, paper: Paper, wide: float, high: float) -> None:
    # ISO 216: A4 is 210 x 297 mm. ANSI Y14.1: letter is 8.5 x 11 inch. In points of 1/72 inch.
    pages = PdfReader(BytesIO(render(bench_copy_of(demo_to_read, "CURLEW/IF", paper=paper), PDF))).pages
    assert len(pages) == 2
    for page in pages:
        assert (float(page.mediabox.width), float(page.mediabox.height)) == pytest.approx((wide, high), abs=0.01)


@pytest.mark.parametrize("file", [PDF, HTML])
def test_printed_twice_it_is_the_same_byte_for_byte(demo_to_read: Workshop, file: Path) -> None:
    first = render(bench_copy_of(demo_to_read, "CURLEW/IF"), file)
    assert first == render(bench_copy_of(demo_to_read, "CURLEW/IF"), file)


def test_as_html_it_is_valid_and_draws_the_bands_too(demo_to_read: Workshop) -> None:
    page = render(bench_copy_of(demo_to_read, "CURLEW/AUDIO"), HTML).decode()
    parser = html5lib.HTMLParser(strict=True, tree=html5lib.getTreeBuilder("etree"), namespaceHTMLElements=False)
    root = parser.parse(page)
    drawn = [one for one in root.iter("img") if one.get("alt") == "yellow violet black brown brown"]
    assert len(drawn) == 2  # R7 and R14
    assert all(one.get("src").startswith("data:image/svg+xml;base64,") for one in drawn)
    said = "".join(root.itertext())
    assert "4k7 0.6W\nyellow violet black brown brown" in said
    assert "646 to 714 Ω" in said


def test_hostile_text_is_printed_and_not_obeyed(shop: Workshop) -> None:
    boards.new_project(shop, "CURLEW", "Curlew receiver")
    boards.new_assembly(shop, "CURLEW", "IF", HOSTILE[0], "board")
    for at, words in enumerate(HOSTILE):
        stores.new_part(shop, f"P-{at}", name=words, note=words)
        lists.add_line(shop, "CURLEW/IF", f"P-{at}", 1, note=words)
        checklists.add_step(shop, "CURLEW/IF", NewStep(words, caution=words))
        measuring.add_point(shop, "CURLEW/IF", NewPoint(f"T{at}", words, "13 to 15 V", caution=words))
    said = close(render(bench_copy_of(shop, "CURLEW/IF"), PDF))
    for words in map(squeezed, HOSTILE[:-1]):
        # A part's name and note, a step and its caution, a point and its caution.
        assert said.count(words) >= 6
    assert "\u202e" not in said
    page = render(bench_copy_of(shop, "CURLEW/IF"), HTML).decode()
    assert "<script" not in page


def test_an_empty_board_says_so(shop: Workshop) -> None:
    boards.new_project(shop, "CURLEW", "Curlew receiver")
    boards.new_assembly(shop, "CURLEW", "IF", "IF board", "board")
    content = bench_copy_of(shop, "CURLEW/IF")
    said = close(render_pdf(content))
    assert "Thereisnopartonitslistyet." in said
    assert "Thereisnosteponitschecklistyet." in said
    assert "Notestpointhasbeenwrittendownforit." in said
    assert len(render_pages(content, ppi=20)) == 1


def test_a_board_of_2000_lines_is_whole(demo_to_read: Workshop) -> None:
    large = many_lines(board(demo_to_read, "CURLEW/IF"), 2000)
    reader = PdfReader(BytesIO(render_pdf(bench_copy(large, (), day="2026-11-26"))))
    pages = ["".join(page.extract_text().split()) for page in reader.pages]
    assert len(pages) > 20
    whole = "".join(pages)
    assert all(f"R-{at}-TEST" in whole for at in range(1, 2001))
    assert all("needrefpartvalueliesinnote" in page for page in pages if "-TEST" in page)


def test_a_board_that_no_build_needs_lists_its_parts_and_where_they_lie(shop: Workshop) -> None:
    boards.new_project(shop, "CURLEW", "Curlew receiver")
    boards.new_project(shop, "SPARE")
    boards.new_assembly(shop, "CURLEW", "IF", "IF board", "board")
    boards.take_out(shop, "CURLEW", "CURLEW/IF")
    stores.new_part(shop, "R-4K7", kind="resistor", value="4k7 5%")
    stores.new_bin(shop, "A01")
    stores.receive(shop, "R-4K7", "A01", 10)
    lists.add_line(shop, "CURLEW/IF", "R-4K7", 2, "R1 R2")
    said = close(render(bench_copy_of(shop, "CURLEW/IF"), PDF))
    assert "2R1,R2R-4K74k75%yellowvioletredgoldA01" in said.replace("\u200b", "")
    assert "Notontheboard" not in said


def line(**fields: object) -> LineRow:
    plain = LineRow(
        line=1,
        refs="R1",
        key="R-1K",
        kind="resistor",
        name="",
        value="1k",
        package="",
        maker_number="",
        unit="pc",
        qty=3,
        loss_bp=0,
        option="",
        note="",
        state="kitted",
        need=3,
        fitted=0,
        kitted=0,
        from_drawers=0,
        stand_ins=(),
        coming=0,
        due_on="",
        short=0,
        on_hand=0,
        bins=(),
        surplus=0,
    )
    return replace(plain, **fields)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("fields", "said"),
    [
        ({"state": "fitted", "fitted": 3}, "fitted"),
        ({"state": "in the drawers", "from_drawers": 3, "bins": (InBin("A1", 2), InBin("B2", 4))}, "A1, B2"),
        ({"state": "short", "from_drawers": 2, "bins": (InBin("A1", 2),), "short": 1}, "A1; short of 1"),
        ({"state": "coming", "kitted": 1, "coming": 2, "due_on": "2026-12-04"}, "1 kitted; coming 2026-12-04"),
        ({"state": "coming", "coming": 3}, "coming"),
        ({"state": "stand-in", "fitted": 1, "stand_ins": (StandInUse("R-1K-1W", 2),)}, "1 fitted; stand-in R-1K-1W"),
        ({"state": "give back", "kitted": 5, "surplus": 2}, "give back 2"),
        ({"state": "not needed", "need": 0, "bins": (InBin("A1", 2),)}, "A1"),
        ({"state": "not needed", "need": 0}, "not needed"),
        ({"state": "not fitted", "need": 0, "bins": (InBin("A1", 2),)}, "not fitted"),
    ],
)
def test_a_line_says_where_all_of_it_is(fields: dict[str, object], said: str) -> None:
    assert whereabouts(line(**fields)) == said


def test_a_line_is_ticked_when_all_of_it_is_fitted() -> None:
    assert part_row(line(state="fitted", fitted=3), "")[0] == "\u2611"
    assert part_row(line(state="kitted", fitted=2, kitted=1), "")[0] == "\u2610"
    assert part_row(line(), "brown black red")[:5] == ("\u2610", "3", "R1", "R-1K", " 1k\nbrown black red")


def test_what_is_left_off_stands_apart_even_when_some_lies_in_the_kit(demo_to_read: Workshop) -> None:
    shown = board(demo_to_read, "CURLEW/IF")
    rows = (line(), line(state="give back", need=0, kitted=1, surplus=1, refs="R9"))
    tables = [block for block in bench_copy(replace(shown, lines=rows), (), day="").blocks if isinstance(block, Table)]
    assert [row[2] for row in tables[0].rows] == ["R1"]
    assert tables[1].rows == (("R9", "R-1K", "1k", "give back 1", ""),)


def test_a_caution_of_the_test_sheet_names_its_points(demo_to_read: Workshop) -> None:
    said = close(render(bench_copy_of(demo_to_read, "CURLEW"), PDF))
    assert "AtPEandPE-LID:Localcodesdecide." in said
    assert "itneversaysthatathingissafe" in said


def test_a_caution_stands_before_the_first_step_that_it_goes_with(shop: Workshop) -> None:
    boards.new_project(shop, "CURLEW", "Curlew receiver")
    steps = [
        NewStep("Mask"),
        NewStep("Prime", caution="No flames."),
        NewStep("Dry"),
        NewStep("Spray", caution="No flames."),
    ]
    checklists.add_steps(shop, "CURLEW", [*steps, NewStep("Earth", hold_point=True)])
    blocks = list(checklist(board(shop, "CURLEW").steps))
    assert [type(block) for block in blocks] == [Boxes, Text, Boxes]
    assert blocks[1] == Text("Mind at steps 2 and 4: No flames.", "warning")
    said = [text for block in blocks if isinstance(block, Boxes) for text, _ in block.items]
    assert [text.split("  ")[1].split(" (")[0].split("\n")[0] for text in said] == [
        *("Mask", "Prime", "Dry", "Spray", "Earth")
    ]
    assert "Checked and signed by ____" in said[-1]


def test_each_of_several_units_has_its_own_row_to_write_into(shop: Workshop) -> None:
    boards.new_project(shop, "LINNET", "Linnet bench supply", units=3)
    measuring.add_point(shop, "LINNET", NewPoint("V1", "the rail", "14.9 to 15.1 V"))
    tables = [block for block in bench_copy_of(shop, "LINNET").blocks if isinstance(block, Table)]
    assert [row[0] for row in tables[-1].rows] == ["V1, unit 1", "V1, unit 2", "V1, unit 3"]
    assert all(row[1:] == ("the rail", "14.9 to 15.1 V", "", "", "") for row in tables[-1].rows)

"""Printing from the screen: the bench copy of a section, a quotation, labels for bins."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from pypdf import PdfReader

from buildbook.actions.workshop import Workshop

Run = Callable[[Any], None]
Sit = Callable[..., Any]


def text_of(file: str) -> str:
    return " ".join(" ".join(page.extract_text() for page in PdfReader(file, strict=True).pages).split())


def flat(text: str) -> str:
    return " ".join(text.split())


@pytest.fixture(autouse=True)
def here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder of its own to print into."""
    folder = tmp_path / "here"
    folder.mkdir()
    monkeypatch.chdir(folder)
    return folder


def test_the_bench_copy_of_a_section_is_two_keys_away(run: Run, sit: Sit, curlew: Path, here: Path) -> None:
    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("2", "down", "w")
            assert "Print the bench copy of CURLEW/IF into which file?" in flat(seat.asked())
            await seat.press("enter")
            assert "The bench copy of CURLEW/IF is in curlew-if.pdf." in flat(seat.seen())
            await seat.press("enter", "w")  # the same from within the section; what is there would be replaced
            assert "will be replaced" in flat(seat.asked())
            await seat.press("escape")

    run(scene())
    assert [file.name for file in here.iterdir()] == ["curlew-if.pdf"]
    assert "3 R1-R3 R-4K7 4k7" in text_of("curlew-if.pdf")


def test_another_kind_of_file_is_refused_while_it_is_typed(run: Run, sit: Sit, curlew: Path, here: Path) -> None:
    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("2", "down", "w", "ctrl+u")
            await seat.type("if.doc")
            assert "What is printed goes into a .pdf or .html file." in flat(seat.asked())
            await seat.press("ctrl+u")
            await seat.type("if.html")
            await seat.press("enter")

    run(scene())
    assert (here / "if.html").read_text().startswith("<!DOCTYPE html>")


def test_a_quotation_by_its_plain_name(run: Run, sit: Sit, curlew: Path, here: Path) -> None:
    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("2", "colon")
            await seat.type("quotation")
            await seat.press("enter")
            assert "How much of the price is margin?" in flat(seat.asked())
            await seat.press("enter")
            await seat.type("2001-01-01")
            assert "It would be valid until 2001-01-01" in flat(seat.asked())
            await seat.press("ctrl+u", "enter", "enter")
            assert "CURLEW is offered for 0.00 EUR, in quotation-curlew.pdf." in flat(seat.seen())

    run(scene())
    said = text_of("quotation-curlew.pdf")
    assert all(words in said for words in ("Not in it, for want of a price: 3 parts", "C-100N (2)", "R-4K7 (3)"))


def test_the_book_of_a_build_by_its_plain_name(run: Run, sit: Sit, curlew: Path, here: Path) -> None:
    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("2", "colon")
            await seat.type("book of the build")
            await seat.press("enter")
            assert "Write the book into which file?" in flat(seat.asked())
            await seat.press("enter")
            assert "The book of CURLEW is in book-curlew.pdf." in flat(seat.seen())

    run(scene())
    assert "How to read this book" in text_of("book-curlew.pdf")


def test_labels_for_all_bins_or_for_one_of_the_part(run: Run, sit: Sit, curlew: Path, here: Path) -> None:
    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("3", "w", "enter", "enter")
            assert "3 labels: labels.pdf." in flat(seat.seen())
            await seat.press("slash")
            await seat.type("R-4K7")
            await seat.press("enter", "w", "down", "enter", "ctrl+u")
            await seat.type("one.pdf")
            await seat.press("enter")
            assert "1 label: one.pdf." in flat(seat.seen())

    run(scene())
    assert all(name in text_of("labels.pdf") for name in ("A1", "A2", "B1"))
    assert text_of("one.pdf") == "A1 R-4K7"


@pytest.mark.parametrize("what", ["bench copy", "quotation for the build", "labels for bins"])
def test_an_empty_workshop_has_nothing_to_print(
    run: Run, sit: Sit, shop: Workshop, tmp_path: Path, here: Path, what: str
) -> None:
    async def scene() -> None:
        async with sit(tmp_path / "workshop.db") as seat:
            await seat.press("colon")
            await seat.type(what)
            await seat.press("enter")
            assert "There is no row selected for that." in flat(seat.seen())

    run(scene())
    assert list(here.iterdir()) == []

"""Printing from the command line: files that are there are kept, errors are one sentence each."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from pypdf import PdfReader
from typer.testing import Result

from buildbook.actions.workshop import Workshop

Say = Callable[..., Result]
PRINTS = {
    "print": ("boards", "print", "CURLEW/IF"),
    "quote": ("boards", "quote", "--build", "CURLEW"),
    "labels": ("stores", "labels", "A01"),
}


def text_of(file: Path) -> str:
    return " ".join(" ".join(page.extract_text() for page in PdfReader(file, strict=True).pages).split())


def test_the_bench_copy_of_a_board(say: Say, at_demo: Path, tmp_path: Path) -> None:
    result = say("boards", "print", "if", "--out", str(tmp_path / "if.pdf"))
    assert result.stdout == f"IF board, bench copy: {tmp_path / 'if.pdf'}.\n"
    assert "CURLEW/IF, for build CURLEW" in text_of(tmp_path / "if.pdf")
    say("boards", "print", "CURLEW/IF", "--out", str(tmp_path / "if.html"))
    assert (tmp_path / "if.html").read_text().startswith("<!DOCTYPE html>")


def test_the_quotation_says_its_price_and_what_is_not_in_it(say: Say, at_demo: Path, tmp_path: Path) -> None:
    out = tmp_path / "q.pdf"
    words = ("--margin", "30%", "--hours-rate", "25", "--until", "2027-01-31", "--for", "Mill  Lane", "--by", "Us")
    result = say(*PRINTS["quote"], *words, "--out", str(out))
    price = result.stdout.split()[4]
    assert result.stdout == f"CURLEW is offered for {price} EUR; 1 without a price not in it: {out}.\n"
    said = text_of(out)
    assert f"Price 1 unit {price}" in said
    assert "Labour 59 h 55 min at 25.00 an hour 1497.92" in said  # 3595 min * 25 / 60
    assert "For Mill Lane By Us" in said
    assert "R-10K-0.6W (1)" in said


def test_labels_of_some_bins_or_of_all(say: Say, at_demo: Path, tmp_path: Path) -> None:
    out = tmp_path / "l.pdf"
    assert say("stores", "labels", "A01", "b02", "--out", str(out)).stdout == f"2 labels: {out}.\n"
    assert "B02" in text_of(out)
    assert say("stores", "labels", "--out", str(out), "--replace").stdout == f"70 labels: {out}.\n"
    assert len(PdfReader(out).pages) == 3
    say("stores", "labels", "--grid", "2x7", "--skip", "3", "--paper", "US-LETTER", "--replace", "--out", str(out))
    pages = PdfReader(out).pages
    assert len(pages) == 6  # 73 places of 14 a sheet
    assert float(pages[0].mediabox.width) == 612.0


@pytest.mark.parametrize("verb", PRINTS)
def test_a_file_that_is_there_is_kept_unless_said_otherwise(say: Say, at_demo: Path, tmp_path: Path, verb: str) -> None:
    out = tmp_path / "kept.pdf"
    out.write_text("mine")
    result = say(*PRINTS[verb], "--out", str(out), code=2)
    assert "“kept.pdf” was not written. A file of that name is there." in result.stderr
    assert out.read_text() == "mine"
    say(*PRINTS[verb], "--out", str(out), "--replace")
    first = out.read_bytes()
    assert first.startswith(b"%PDF-")
    say(*PRINTS[verb], "--out", str(out), "--replace")
    assert out.read_bytes() == first


@pytest.mark.parametrize(
    ("words", "why"),
    [
        ((*PRINTS["print"], "--out", "x.doc"), "goes into a .pdf or .html file"),
        ((*PRINTS["labels"], "--out", "x.html"), "goes into a .pdf file"),
        ((*PRINTS["print"], "--out", "x.pdf", "--paper", "a5"), "There is no paper “a5” here."),
        (("boards", "print", "NONE", "--out", "x.pdf"), "There is no assembly NONE."),
        ((*PRINTS["print"], "--build", "ZZ", "--out", "x.pdf"), "There is no build ZZ."),
        ((*PRINTS["print"], "--out", "nowhere/x.pdf"), "There is no folder “nowhere”."),
        (("boards", "quote", "--margin", "100%", "--out", "x.pdf"), "“100%” is no share of the price"),
        (("boards", "quote", "--hours-rate", "much", "--out", "x.pdf"), "“much” is not one amount of money"),
        (("boards", "quote", "--until", "soon", "--out", "x.pdf"), "“soon” is no day."),
        (("boards", "quote", "--until", "2020-01-01", "--out", "x.pdf"), "It would be valid until 2020-01-01"),
        (("boards", "quote", "--for", "x" * 500, "--out", "x.pdf"), "name"),
        (("stores", "labels", "Z99", "--out", "x.pdf"), "There is no bin Z99."),
        ((*PRINTS["labels"], "--grid", "3", "--out", "x.pdf"), "“3” is not labels across x down."),
        ((*PRINTS["labels"], "--grid", "12x3", "--out", "x.pdf"), "One of them would be 16 x 91 mm"),
        ((*PRINTS["labels"], "--side", "-3", "--out", "x.pdf"), "An edge is narrower than nothing."),
        ((*PRINTS["labels"], "--skip", "24", "--out", "x.pdf"), "24 of them cannot be left out"),
    ],
)
def test_what_cannot_be_printed_is_said_and_leaves_no_file(
    say: Say, at_demo: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, words: tuple[str, ...], why: str
) -> None:
    (tmp_path / "here").mkdir()
    monkeypatch.chdir(tmp_path / "here")
    assert why in say(*words, code=2).stderr
    assert list((tmp_path / "here").iterdir()) == []


def test_a_workshop_without_bins_or_builds_says_so(say: Say, shop: Workshop, tmp_path: Path) -> None:
    assert "There is no bin yet." in say("stores", "labels", "--out", str(tmp_path / "x.pdf"), code=2).stderr
    assert "There is no build." in say("boards", "quote", "--out", str(tmp_path / "x.pdf"), code=2).stderr

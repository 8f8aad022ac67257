"""The book on the command line: written once, the same twice, never over another file unasked."""

from __future__ import annotations

import json
from collections.abc import Callable
from html import unescape
from io import BytesIO
from pathlib import Path

import html5lib
import pytest
from pypdf import PdfReader
from typer.testing import Result

from buildbook.actions import boards
from buildbook.store.workshop import Workshop

Say = Callable[..., Result]


def test_the_demo_has_a_book_of_the_same_bytes_twice(say: Say, at_demo: Path, tmp_path: Path) -> None:
    one, two = tmp_path / "one.pdf", tmp_path / "two.pdf"
    for out in (one, two):
        say("log", "book", "--build", "CURLEW", "--out", str(out), db=at_demo)
    assert one.read_bytes() == two.read_bytes()
    text = "".join(page.extract_text() for page in PdfReader(BytesIO(one.read_bytes())).pages)
    for said in ("Curlew receiver", "How to read this book", "Test sheets", "Snags and cures", "Local codes"):
        assert said in text


def test_its_page_is_strict_html(say: Say, at_demo: Path, tmp_path: Path) -> None:
    out = tmp_path / "book.html"
    say("log", "book", "--build", "CURLEW", "--out", str(out), db=at_demo)
    html5lib.HTMLParser(strict=True).parse(out.read_text())


def test_a_file_that_is_there_is_kept(say: Say, at_demo: Path, tmp_path: Path) -> None:
    out = tmp_path / "book.html"
    out.write_text("mine")
    result = say("log", "book", "--build", "CURLEW", "--out", str(out), db=at_demo, code=2)
    assert "--replace" in result.output
    assert out.read_text() == "mine"
    say("log", "book", "--build", "CURLEW", "--out", str(out), "--replace", db=at_demo)
    assert "Curlew receiver" in out.read_text()


def test_a_build_with_nothing_in_it_has_a_book(say: Say, shop: Workshop, tmp_path: Path) -> None:
    boards.new_project(shop, "EMPTY")
    out = tmp_path / "empty.html"
    say("log", "book", "--build", "EMPTY", "--out", str(out))
    page = out.read_text()
    assert "No snag is written down." in page
    html5lib.HTMLParser(strict=True).parse(page)


def test_a_finished_build_has_a_book_and_loses_it_when_taken_up_again(say: Say, shop: Workshop, tmp_path: Path) -> None:
    boards.new_project(shop, "TIT", "Tit whistle")
    say("boards", "build", "TIT", "--state", "finished")
    one, two = tmp_path / "one.html", tmp_path / "two.html"
    say("log", "book", "--build", "TIT", "--out", str(one))
    boards.change_project(shop, "TIT", name="Another name")
    say("log", "book", "--build", "TIT", "--out", str(two))
    assert one.read_bytes() == two.read_bytes()
    assert "is dropped" in say("boards", "build", "TIT", "--state", "active").output
    say("log", "book", "--build", "TIT", "--out", str(two), "--replace")
    assert "Another name" in two.read_text()


def test_the_sketches_of_the_demo_stand_in_its_book(say: Say, at_demo: Path, tmp_path: Path) -> None:
    page = tmp_path / "curlew.html"
    say("log", "book", "--build", "CURLEW", "--out", str(page))
    text = page.read_text(encoding="utf-8")
    captions = [
        row["caption"]
        for row in json.loads(say("log", "attached", "--build", "CURLEW", "--json").stdout)["rows"]
        if row["media"] == "image/svg+xml"
    ]
    assert captions
    assert all(caption.rstrip(".") in unescape(text) for caption in captions)
    assert "A photo belongs here that is missing" not in text


@pytest.mark.parametrize(
    "content", ["<svg", "<svg xmlns='http://www.w3.org/2000/svg'><script>alert(1)</script></svg>", ""]
)
def test_a_drawing_that_is_broken_or_hostile_does_no_harm(
    say: Say, at_demo: Path, tmp_path: Path, content: str
) -> None:
    drawing = tmp_path / "drawing.svg"
    drawing.write_text(f"<?xml version='1.0'?>{content}", encoding="utf-8")
    say("log", "attach", str(drawing), "--build", "CURLEW", "--caption", "a drawing")
    for ending in ("pdf", "html"):
        out = tmp_path / f"book.{ending}"
        assert say("log", "book", "--build", "CURLEW", "--out", str(out)).exit_code == 0
    assert "<script" not in (tmp_path / "book.html").read_text(encoding="utf-8")

"""Documents set in type: what comes out is read back by another program, and hostile text stays text."""

from __future__ import annotations

import struct
import subprocess
import sys
import zlib
from io import BytesIO
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pypdf import PdfReader

from buildbook.errors import BadInput
from buildbook.publish.document import (
    Block,
    Boxes,
    Document,
    Drawn,
    Facts,
    Heading,
    Items,
    PageBreak,
    Paper,
    Picture,
    Table,
    Text,
)
from buildbook.publish.typeset import render_pages, render_pdf

DAY = "2026-11-14"
SVG = '<svg xmlns="http://www.w3.org/2000/svg" width="40" height="20">'
DRAWING = f'{SVG}<rect width="40" height="20" fill="#0072b2"/></svg>'.encode()
HOSTILE = [
    '#panic("out")',
    '#read("document.json")',
    "#set page(width: 1mm)",
    '"); #panic("out") //',
    "$ x_1 / 2 $ *bold* _it_ `raw` ``` fence",
    "[ ] ] [ { } ( ) \\ \\u{41} @ref <label> ~ -- ---",
    "// a comment /* another */ = no heading",
    "- no list + no number / no: term",
    '\'single\' "double" #"text" #[content]',
    "https://example.invalid/a#b?c=d&e",
]


def document(*blocks: Block, paper: Paper = "a4", contents: bool = False, title: str = "IF board") -> Document:
    return Document(title, "as built", DAY, blocks, paper, contents)


def read_back(pdf: bytes) -> PdfReader:
    return PdfReader(BytesIO(pdf), strict=True)


def text_of(pdf: bytes) -> str:
    """All the text, each run of blanks and line ends as one blank."""
    return " ".join(" ".join(page.extract_text() for page in read_back(pdf).pages).split())


def png(width: int = 4, height: int = 3) -> bytes:
    """A grey picture, written by hand (ISO/IEC 15948)."""

    def chunk(kind: bytes, content: bytes) -> bytes:
        return struct.pack(">I", len(content)) + kind + content + struct.pack(">I", zlib.crc32(kind + content))

    rows = b"".join(b"\0" + b"\x80" * width for _ in range(height))
    head = struct.pack(">IIBBBBB", width, height, 8, 0, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", zlib.compress(rows)) + chunk(b"IEND", b"")


def jpeg() -> bytes:
    from PIL import Image

    kept = BytesIO()
    Image.new("RGB", (8, 6), (10, 90, 160)).save(kept, "JPEG")
    return kept.getvalue()


EVERY_BLOCK: tuple[Block, ...] = (
    Heading("What it is", 1, "what-it-is"),
    Text("A three-band receiver.\nIts second line."),
    Text("Said quietly.", "quiet"),
    Text("Mains work can kill; local codes and licensed practice decide.", "warning"),
    Facts((("Build", "CURLEW"), ("Target", "14 March"))),
    Heading("Parts", 2),
    Table(("ref", "price"), (("R1", "0.10"), ("R2", "12.50")), right=(1,), caption="Resistors", sums=(1,)),
    Boxes((("Wind T1", True), ("Mask the stud", False))),
    Items(("drill", "deburr")),
    Items(("prime", "lacquer"), numbered=True),
    Picture(DRAWING, "image/svg+xml", "a blue field", "Figure of the field", 50),
    Picture(png(), "image/png", "grey", share=10),
    PageBreak(),
    Heading("At the end", 3),
)


def test_every_block_is_read_back_from_the_pdf() -> None:
    said = text_of(render_pdf(document(*EVERY_BLOCK)))
    for words in (
        *("IF board as built", "What it is", "A three-band receiver. Its second line.", "Said quietly."),
        *("Mains work can kill; local codes and licensed practice decide.", "Build CURLEW", "Target 14 March"),
        *("Resistors ref price R1 0.10 R2 12.50", "Wind T1", "Mask the stud", "drill", "1. prime 2. lacquer"),
        *("Figure of the field", "At the end", "14 November 2026 1 of 2", "14 November 2026 2 of 2"),
    ):
        assert words in said, words


@pytest.mark.parametrize(("paper", "wide", "high"), [("a4", 595.28, 841.89), ("us-letter", 612.0, 792.0)])
def test_the_paper_has_its_size(paper: Paper, wide: float, high: float) -> None:
    # ISO 216: A4 is 210 x 297 mm. ANSI Y14.1: letter is 8.5 x 11 inch. In points of 1/72 inch.
    box = read_back(render_pdf(document(Text("x"), paper=paper))).pages[0].mediabox
    assert (float(box.width), float(box.height)) == pytest.approx((wide, high), abs=0.01)


def test_title_page_and_contents_stand_before_the_rest() -> None:
    pages = read_back(render_pdf(document(*EVERY_BLOCK, contents=True))).pages
    said = [" ".join(page.extract_text().split()) for page in pages]
    assert len(said) == 4
    assert said[0].startswith("IF board as built")
    assert "What it is" not in said[0]
    assert said[1].count("Contents") == 1
    assert said[1].index("What it is") < said[1].index("Parts") < said[1].index("2 of 4")
    assert "What it is" in said[2]
    assert "At the end" in said[3]


def test_the_same_document_gives_the_same_bytes_whatever_the_clock_says() -> None:
    content = document(*EVERY_BLOCK, contents=True)
    assert render_pdf(content) == render_pdf(content)
    code = (
        "import sys; from buildbook.publish.document import *; from buildbook.publish.typeset import render_pdf;"
        f"sys.stdout.buffer.write(render_pdf(Document('T', '', {DAY!r}, (Text('x'),))))"
    )
    apart = subprocess.run([sys.executable, "-c", code], capture_output=True, check=True).stdout
    assert apart == render_pdf(Document("T", "", DAY, (Text("x"),)))
    told = read_back(apart).metadata
    assert told is not None
    assert told.creation_date is not None
    assert told.creation_date.date().isoformat() == DAY


def test_another_day_or_text_gives_other_bytes() -> None:
    first = render_pdf(Document("T", "", DAY, (Text("x"),)))
    assert first != render_pdf(Document("T", "", "2026-11-15", (Text("x"),)))
    assert first != render_pdf(Document("T", "", DAY, (Text("y"),)))


@pytest.mark.parametrize("words", HOSTILE)
def test_hostile_text_is_printed_and_not_obeyed(words: str) -> None:
    everywhere = document(
        Heading(words, 2, words),
        Text(words),
        Text(words, "warning"),
        Facts(((words, words),)),
        Table((words, "b"), ((words, words),), caption=words),
        Boxes(((words, True),)),
        Items((words,)),
        Picture(DRAWING, "image/svg+xml", words, words),
        title=words,
    )
    pdf = render_pdf(everywhere)
    close = "".join(text_of(pdf).split())
    assert close.count("".join(words.split())) == 13
    told = read_back(pdf).metadata
    assert told is not None
    assert told.title == words


def test_unseen_characters_never_reach_the_paper() -> None:
    said = text_of(render_pdf(document(Text("R1\u202e to \x1b[31mR2\x00\u200b\ud800 ok"), Heading("a\u2067b"))))
    assert "R1 to R2 ok" in said
    assert "ab" in said


def test_emoji_and_letters_without_a_glyph_do_no_harm() -> None:
    said = text_of(render_pdf(document(Text("before \U0001f600 \u4e2d\u6587 \u05d0\u05d1 after, 4.7 kΩ ±5 % µF"))))
    assert "before" in said
    assert "after, 4.7 kΩ ±5 % µF" in said


@given(st.text(max_size=60), st.lists(st.tuples(st.text(max_size=20), st.text(max_size=20)), max_size=4))
@settings(deadline=None, max_examples=40)
def test_any_text_at_all_can_be_printed(words: str, rows: list[tuple[str, str]]) -> None:
    blocks = (Heading(words, 1, words), Text(words, "warning"), Table((words, "b"), tuple(rows)), Items((words,)))
    assert len(read_back(render_pdf(Document(words, words, "", blocks))).pages) >= 1


def test_long_words_are_broken_and_stay_on_the_paper() -> None:
    word = "W" * 400
    pdf = render_pdf(document(Text(word), Table(("ref", "part", "note"), ((word, "C-100N-630V-PET", word),))))
    found: list[tuple[float, str]] = []

    def see(text: str, _: object, at: list[float], __: object, size: float) -> None:
        if set(text.strip()) == {"W"}:
            # a W of Libertinus is less than 1.05 of its size wide
            found.append((at[4] + len(text.strip()) * 1.05 * size, text.strip()))

    reader = read_back(pdf)
    for page in reader.pages:
        page.extract_text(visitor_text=see)
    assert len(found) > 20
    assert max(right for right, _ in found) <= 595.28 - 19 * 72 / 25.4 + 1
    assert sum(len(text) for _, text in found) == 3 * 400
    assert "C-100N-630V-PET" in text_of(pdf)


def test_a_long_table_says_its_headings_on_every_page() -> None:
    rows = tuple((f"R{number}", f"part {number}") for number in range(1, 2001))
    reader = read_back(render_pdf(document(Table(("designator", "what"), rows))))
    assert len(reader.pages) > 20
    pages = [" ".join(page.extract_text().split()) for page in reader.pages]
    assert all("designator what" in page for page in pages)
    assert "R2000 part 2000" in pages[-1]
    assert all(f" R{number} " in " ".join(pages) for number in range(1, 2001, 97))


def test_uneven_rows_empty_tables_and_no_blocks_are_printed() -> None:
    content = document(
        Table(("a", "b"), (("only",), ("1", "2", "too many"))), Table((), ()), Table(("c",), ()), Text("")
    )
    said = text_of(render_pdf(content))
    assert "only" in said
    assert "too many" not in said
    assert text_of(render_pdf(Document("", "", "", ()))) == "1 of 1"


@pytest.mark.parametrize("content", [b"", b"junk", png()[:40], b"<svg", b"\xff\xd8\xff\xe0 no jpeg"])
@pytest.mark.parametrize("media", ["image/png", "image/jpeg", "image/svg+xml"])
def test_a_picture_that_cannot_be_read_leaves_a_sentence(content: bytes, media: str) -> None:
    broken = Picture(content, media, "the tuned circuit")  # type: ignore[arg-type]
    table = Table(("a",), (("kept",),), drawn=(Drawn(0, 0, broken),))
    said = text_of(render_pdf(document(Text("before"), broken, Picture(DRAWING, "image/svg+xml", "", "good"), table)))
    assert "before A picture that could not be read belongs here: the tuned circuit." in said
    assert "good" in said
    assert "kept" in said


def test_a_drawing_may_not_fetch_files_from_outside(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "secret.png").write_bytes(png(64, 64))
    monkeypatch.chdir(tmp_path)
    for there in ("secret.png", str(tmp_path / "secret.png"), f"file://{tmp_path}/secret.png"):
        drawing = f'{SVG}<image href="{there}" width="40" height="20"/></svg>'
        reader = read_back(render_pdf(document(Picture(drawing.encode(), "image/svg+xml", "outside"))))
        assert not list(reader.pages[0].images)


def test_pictures_of_every_kind_are_in_the_file_and_within_the_page() -> None:
    tall = Picture(png(20, 2000), "image/png", "a tall strip", "below it")
    reader = read_back(render_pdf(document(Picture(jpeg(), "image/jpeg", "blue"), tall)))
    assert sum(len(page.images) for page in reader.pages) == 2
    assert "below it" in reader.pages[-1].extract_text()


def test_pages_can_be_looked_at() -> None:
    pages = render_pages(document(Text("one"), PageBreak(), Text("two")), ppi=40)
    assert len(pages) == 2
    assert all(page.startswith(b"\x89PNG") for page in pages)
    assert len(render_pages(document(Text("one")), ppi=40)) == 1


def test_a_day_that_is_none_is_refused() -> None:
    with pytest.raises(BadInput, match="“tomorrow” is not a date"):
        render_pdf(Document("T", "", "tomorrow", ()))

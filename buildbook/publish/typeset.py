"""A document is set in type and becomes a PDF: its texts go in as contents, never as commands to the typesetter.

The typesetter is typst with the fonts that it brings along, so that the same document gives the same bytes anywhere.
It reads the page's own commands from `PAGE` and everything else from a JSON file beside it; nothing is spliced.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterable, Mapping
from datetime import UTC, date, datetime
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING, Any, Literal, cast

from buildbook.errors import BadInput, StoreFault
from buildbook.publish.document import (
    Block,
    Boxes,
    Document,
    Facts,
    Heading,
    Items,
    PageBreak,
    Picture,
    Table,
    Text,
)
from buildbook.trade.plain import clean, quote

if TYPE_CHECKING:
    from buildbook.publish.document import Paper

Files = dict[str, bytes]

# What stands between the edges of the paper, in mm, and the size of letters, in mm.
_WIDE_MM = {"a4": 172.0, "us-letter": 177.9}
_CELL_MM, _INSET_MM = 3.175, 2.9
# How wide letters are at most, of their size, by what they are; those of other scripts and symbols are taken as whole.
_NARROW, _CAPITAL, _WIDE = 0.58, 0.78, 1.05
_MAY_BREAK = "\u200b"
_FORMATS = {"image/svg+xml": "svg", "image/png": "png", "image/jpeg": "jpg"}

PAGE = r"""
#let doc = json("document.json")
#let quiet = luma(95)
#let hair = 0.4pt + luma(200)
#set document(
  title: doc.name,
  date: if doc.day == none { none } else { datetime(year: doc.day.at(0), month: doc.day.at(1), day: doc.day.at(2)) },
)
#set page(
  paper: doc.paper,
  margin: (x: 19mm, top: 21mm, bottom: 19mm),
  header: context if counter(page).get().first() > 1 {
    set text(8.5pt, fill: quiet)
    stack(block(width: 100%, height: 1.2em, clip: true, align(top, doc.title)), line(length: 100%, stroke: hair))
  },
  footer: context {
    set text(8.5pt, fill: quiet)
    grid(columns: (1fr, auto), doc.foot, counter(page).display("1 of 1", both: true))
  },
)
#set text(font: ("Libertinus Serif", "DejaVu Sans Mono"), size: 10.5pt, lang: "en", region: "GB", hyphenate: false)
#set par(leading: 0.62em, spacing: 0.95em)
// Where a word may be broken stands a blank of no width, not a letter: what is copied from the page is the whole word.
#show "\u{200b}": h(0.0001pt)
#show heading.where(level: 1): it => block(above: 1.7em, below: 0.85em, text(15pt, it.body))
#show heading.where(level: 2): it => block(above: 1.4em, below: 0.7em, text(12pt, it.body))
#show heading.where(level: 3): it => block(above: 1.2em, below: 0.6em, text(10.5pt, style: "italic", it.body))
#show figure.caption: it => text(9pt, fill: quiet, it.body)
#set enum(spacing: 0.6em)
#set list(spacing: 0.6em)

#let lines(words) = words.split("\n").join(linebreak())
#let tick-box(done: false, size: 0.82em) = box(baseline: 0.08em, {
  box(width: size, height: size, radius: 0.8pt, stroke: 0.7pt + black, if done {
    place(line(start: (18%, 52%), end: (42%, 78%), stroke: 1.1pt))
    place(line(start: (42%, 78%), end: (84%, 20%), stroke: 1.1pt))
  })
})
#show "\u{2610}": tick-box()
#show "\u{2611}": tick-box(done: true)

#let set-heading(b) = [#heading(level: b.level, lines(b.text))#if b.anchor != "" { label(b.anchor) }]
#let set-text(b) = if b.style == "warning" {
  block(width: 100%, inset: (x: 9pt, y: 7pt), stroke: 1pt + black, radius: 1.5pt, breakable: b.text.len() > 1500,
    sticky: true,
    strong(lines(b.text)))
} else if b.style == "quiet" { par(text(9pt, fill: quiet, lines(b.text))) } else { par(lines(b.text)) }
#let set-facts(b) = block(width: 100%, grid(
  columns: (27%, 1fr), row-gutter: 0.62em, column-gutter: 1em,
  ..b.pairs.map(p => (text(fill: quiet, lines(p.at(0))), lines(p.at(1)))).flatten(),
))
#let set-cell(cell) = table.cell(breakable: cell.text.len() > 900, {
  if cell.picture != none { box(baseline: 25%, image(cell.picture, height: 1.25em, alt: cell.alt)); h(0.5em) }
  if cell.strong { strong(lines(cell.text)) } else { lines(cell.text) }
})
#let set-table(b) = {
  set text(9pt, number-width: "tabular")
  set par(leading: 0.5em)
  if b.caption != "" { block(sticky: true, below: 0.5em, text(fill: quiet, lines(b.caption))) }
  table(
    columns: b.shares.map(share => share * 1fr),
    align: (x, y) => (if x in b.right { right } else { left }) + (if y == 0 { bottom } else { top }),
    inset: (x: 4pt, y: if b.roomy { 6.5pt } else { 3.2pt }),
    stroke: (x, y) => (
      bottom: if y == 0 { 0.8pt + black } else { hair },
      left: if b.roomy and x > 0 { hair },
    ),
    table.header(..b.headings.map(words => strong(lines(words)))),
    ..b.rows.flatten().map(set-cell),
  )
}
#let set-boxes(b) = grid(
  columns: (1.5em, 1fr), row-gutter: 0.75em,
  ..b.items.map(item => (tick-box(done: item.at(1)), lines(item.at(0)))).flatten(),
)
#let set-items(b) = if b.numbered { enum(..b.items.map(lines)) } else { list(..b.items.map(lines)) }
#let set-picture(b) = figure(
  caption: if b.caption == "" { none } else { lines(b.caption) }, numbering: none,
  layout(room => {
    let wide = image(b.file, format: b.format, width: room.width * b.share / 100, alt: b.alt)
    if measure(wide).height < 215mm { wide }
    else { image(b.file, format: b.format, height: 215mm, width: 100%, fit: "contain", alt: b.alt) }
  }),
)
#let set-block = (
  heading: set-heading, text: set-text, facts: set-facts, table: set-table, boxes: set-boxes, items: set-items,
  picture: set-picture, page-break: b => pagebreak(weak: true),
)

#if doc.contents {
  v(30%)
  text(26pt, strong(lines(doc.title)))
  if doc.subtitle != "" { parbreak(); text(14pt, lines(doc.subtitle)) }
  v(1fr)
  text(fill: quiet, doc.written-day)
  pagebreak()
  show outline.entry.where(level: 1): it => { v(0.5em, weak: true); strong(it) }
  outline(title: [Contents], depth: 2)
  pagebreak()
} else {
  block(below: 1.1em, text(18pt, strong(lines(doc.title))))
  if doc.subtitle != "" { block(below: 0.8em, text(11.5pt, lines(doc.subtitle))) }
  line(length: 100%, stroke: 0.8pt)
}
#for b in doc.blocks { (set-block.at(b.kind))(b) }
"""


def render_pdf(document: Document) -> bytes:
    r"""Set a document in type, as a PDF; the same document gives the same bytes.

    With `contents` it has a title page and a table of contents of its own, else its title stands above its text. A
    picture that cannot be read is replaced by a sentence that says so. Raises BadInput when `day` is neither empty nor
    a date of ISO 8601.

    >>> render_pdf(Document("Mixer board", "", "2026-11-14", (Text("Wind T1 #first."),)))[:5]
    b'%PDF-'
    """
    return cast("bytes", _set_in_type(document, "pdf"))


def render_pages(document: Document, *, ppi: float = 96.0) -> list[bytes]:
    """The pages of a document as PNG pictures, to be looked at."""
    pages = _set_in_type(document, "png", ppi=ppi)
    return [pages] if isinstance(pages, bytes) else pages


def _set_in_type(document: Document, form: Literal["pdf", "png"], *, ppi: float | None = None) -> bytes | list[bytes]:
    import typst

    content, files = _laid_out(document)
    try:
        return set_page(PAGE, content, files, form=form, day=document.day, ppi=ppi)
    except typst.TypstError:
        unread = {name for name in files if not _can_be_read(name, files[name])}
        if not unread:
            raise
        return set_page(PAGE, _without(content, unread), files, form=form, day=document.day, ppi=ppi)


def set_page(
    page: str,
    content: Mapping[str, Any],
    files: Files,
    *,
    form: Literal["pdf", "png"] = "pdf",
    day: str = "",
    ppi: float | None = None,
) -> bytes | list[bytes]:
    """Have typst set `page`, which finds `content` as document.json and the `files` beside it; nothing else."""
    import typst

    on = day_of(day)
    noon = datetime(on.year, on.month, on.day, 12, tzinfo=UTC) if on else datetime(1970, 1, 1, 12, tzinfo=UTC)
    known = {"document.json": json.dumps(content, ensure_ascii=False).encode(), **files}
    try:
        # Pictures reach typst only by way of a folder, and that folder is all that it may read.
        with TemporaryDirectory(prefix="buildbook-") as folder:
            for name, held in known.items():
                (Path(folder) / name).write_bytes(held)
            compiler = typst.Compiler(page.encode(), root=folder, ignore_system_fonts=True)
            return cast("bytes | list[bytes]", compiler.compile(format=form, timestamp=noon, ppi=ppi))
    except OSError as fault:
        why = f"The system says: {fault.strerror or fault}."
        raise StoreFault("The document was not set.", why, "Make room in the folder for temporary files.") from None


def day_of(text: str) -> date | None:
    """The day of a document, None when it has none; BadInput for what is no date."""
    if not text:
        return None
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise BadInput(
            "The document was not written.", f"{quote(text)} is not a date.", "Give one such as 2026-11-14."
        ) from None


def _can_be_read(name: str, content: bytes) -> bool:
    import typst

    page = f'#image("{name}", alt: "")'  # our own name of it
    try:
        set_page(page, {}, {name: content})
    except typst.TypstError:
        return False
    return True


def _without(content: dict[str, Any], unread: set[str]) -> dict[str, Any]:
    blocks = []
    for block in content["blocks"]:
        if block["kind"] == "picture" and block["file"] in unread:
            said = f"A picture that could not be read belongs here: {block['alt'] or block['caption'] or 'no name'}."
            block = {"kind": "text", "text": said, "style": "quiet"}
        elif block["kind"] == "table":
            for cell in (cell for row in block["rows"] for cell in row if cell["picture"] in unread):
                cell["picture"] = None
        blocks.append(block)
    return {**content, "blocks": blocks}


# --- a document as plain values --------------------------------------------------------------------------------------


def _laid_out(document: Document) -> tuple[dict[str, Any], Files]:
    files: Files = {}
    blocks = [_block(block, files, document.paper) for block in document.blocks]
    on = day_of(document.day)
    content = {
        "name": plain(document.title, 1e9),
        "title": plain(document.title, 18.0),
        "subtitle": plain(document.subtitle, 32.0),
        "day": [on.year, on.month, on.day] if on else None,
        "written-day": f"{on.day} {on:%B} {on.year}" if on else "",
        "foot": f"{on.day} {on:%B} {on.year}" if on else "",
        "paper": document.paper,
        "contents": document.contents,
        "blocks": [block for block in blocks if block],
    }
    return content, files


def _block(block: Block, files: Files, paper: Paper) -> dict[str, Any]:
    match block:
        case Heading(text, level, anchor):
            said = {
                "level": min(3, max(1, level)),
                "text": plain(text, 30.0),
                "anchor": plain(anchor).replace("\n", " "),
            }
            return {"kind": "heading", **said}
        case Text(text, style):
            return {"kind": "text", "text": plain(text), "style": style} if text else {}
        case Facts(pairs):
            return {"kind": "facts", "pairs": [[plain(name, 11.0), plain(said, 32.0)] for name, said in pairs]}
        case Table():
            return _table(block, files, paper)
        case Boxes(items):
            return {"kind": "boxes", "items": [[plain(text), done] for text, done in items]}
        case Items(items, numbered):
            return {"kind": "items", "items": [plain(text) for text in items], "numbered": numbered}
        case Picture():
            return _picture(block, files)
        case PageBreak():
            return {"kind": "page-break"}


def _picture(picture: Picture, files: Files) -> dict[str, Any]:
    return {
        "kind": "picture",
        "file": keep_picture(picture.content, picture.media, files),
        "format": _FORMATS[picture.media],
        "alt": plain(picture.alt),
        "caption": plain(picture.caption),
        "share": min(100, max(1, picture.share)),
    }


def keep_picture(content: bytes, media: str, files: Files) -> str:
    """Put a picture among the files, once however often it comes, and give its name there."""
    ending = _FORMATS[media]
    name = next((known for known, there in files.items() if there == content and known.endswith(ending)), "")
    name = name or f"picture-{len(files) + 1}.{ending}"
    files[name] = content
    return name


def _table(table: Table, files: Files, paper: Paper) -> dict[str, Any]:
    columns = len(table.headings)
    if not columns:
        return {}
    rows = [(*row[:columns], *[""] * (columns - len(row))) for row in table.rows]
    shares = table.shares if len(table.shares) == columns else _shares(table.headings, rows)
    shares = tuple(max(1, share) for share in shares)
    room = [(_WIDE_MM[paper] * share / sum(shares) - _INSET_MM) / _CELL_MM for share in shares]
    cells = [[_cell(text, most) for text, most in zip(row, room, strict=True)] for row in rows]
    for row, column, picture in table.drawn:
        name = keep_picture(picture.content, picture.media, files)
        cells[row][column] |= {"picture": name, "alt": plain(picture.alt)}
    for cell in (cell for row in table.sums for cell in cells[row]):
        cell["strong"] = True
    return {
        "kind": "table",
        "caption": plain(table.caption),
        "headings": [plain(text, most) for text, most in zip(table.headings, room, strict=True)],
        "rows": cells,
        "right": [column for column in table.right if 0 <= column < columns],
        "shares": list(shares),
        "roomy": table.roomy,
    }


def _cell(text: str, room: float) -> dict[str, Any]:
    return {"text": plain(text, room), "picture": None, "alt": "", "strong": False}


def _shares(headings: tuple[str, ...], rows: Iterable[tuple[str, ...]]) -> tuple[int, ...]:
    """Columns as wide as their texts, yet none so wide that the others starve."""
    widest = [len(text) for text in headings]
    for row in rows:
        widest = [max(most, min(40, len(text))) for most, text in zip(widest, row, strict=True)]
    return tuple(most + 2 for most in widest)


def plain(text: str, room: float = 42.0) -> str:
    r"""A text as it is printed: nothing unseen in it, and a word that is wider than `room` letter sizes may be broken.

    >>> plain("R1\u202e to R1000", 2.0).replace("\u200b", "|")
    'R1 to R|1|0|0|0'
    """
    kept = clean(text, limit=len(text), lines=True) if text else ""
    if len(kept) * _WIDE <= room:
        return kept
    return re.sub(r"\S+", lambda word: _MAY_BREAK.join(word[0]) if _width(word[0]) > room else word[0], kept)


def _width(word: str) -> float:
    # A little more than Libertinus takes, bold or not.
    wide = sum(letter in "MWmw@%&—" or letter > "\u2000" for letter in word)
    capitals = sum(letter.isupper() and letter not in "MW" for letter in word)
    return _WIDE * wide + _CAPITAL * capitals + _NARROW * (len(word) - wide - capitals)

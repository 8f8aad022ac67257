"""A document as one HTML file that needs nothing else: no script, no second file, the same bytes every time."""

from __future__ import annotations

import re
from base64 import b64encode
from collections.abc import Iterable
from html import escape
from itertools import groupby

from buildbook.publish.document import (
    Block,
    Boxes,
    Document,
    Facts,
    Heading,
    Items,
    PageBreak,
    Paper,
    Picture,
    Table,
    Text,
)

# HTML has no place for these letters, escaped or not (HTML Living Standard, 13.2.3.5); what turns the direction of
# writing could make a text read as another one.
_UNWRITABLE = re.compile(
    "[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\u202a-\u202e\u2066-\u2069\ud800-\udfff\ufdd0-\ufdef]"
    "|[" + "".join(f"{chr(plane + 0xFFFE)}{chr(plane + 0xFFFF)}" for plane in range(0, 0x110000, 0x10000)) + "]"
)
_PAGES: dict[Paper, str] = {"a4": "A4", "us-letter": "letter"}
_LOOK = """
html { color-scheme: light dark; }
:root { --ink: #1a1a1a; --paper: #ffffff; --quiet: #555555; --rule: #bbbbbb; --warn: #9a3412; }
@media (prefers-color-scheme: dark) {
  :root { --ink: #e8e8e8; --paper: #161616; --quiet: #b0b0b0; --rule: #555555; --warn: #fdba74; }
  img { background: #ffffff; }
}
body { margin: 0 auto; padding: 1.5rem; max-width: 46rem; color: var(--ink); background: var(--paper);
  font: 1rem/1.5 system-ui, sans-serif; overflow-wrap: break-word; }
h1, h2, h3, h4 { line-height: 1.25; margin: 1.6em 0 0.5em; }
h1 { margin-top: 0; }
a { color: inherit; }
p, td, dd, li { white-space: pre-line; }
nav li { white-space: normal; }
.quiet, figcaption, caption { color: var(--quiet); }
.warning { border-left: 0.3rem solid var(--warn); padding-left: 0.8rem; font-weight: 600; }
.wide { overflow-x: auto; }
table { border-collapse: collapse; width: 100%; margin: 1em 0; }
caption { text-align: left; }
th, td { border-bottom: 1px solid var(--rule); padding: 0.25rem 0.5rem; text-align: left; vertical-align: top; }
.roomy th, .roomy td { padding: 0.6rem 0.5rem; }
.roomy * + th, .roomy * + td { border-left: 1px solid var(--rule); }
.sum td { font-weight: 600; }
.right { text-align: right; font-variant-numeric: tabular-nums; }
dl { display: grid; grid-template-columns: max-content 1fr; gap: 0.2rem 1rem; }
dt { color: var(--quiet); }
dd { margin: 0; }
ul.boxes { list-style: none; padding-left: 0; }
figure { margin: 1em 0; }
img { max-width: 100%; height: auto; }
td img { height: 1.25em; margin-right: 0.5em; vertical-align: -0.25em; }
@media print {
  @page { margin: 18mm; }
  :root { --ink: #000000; --paper: #ffffff; --quiet: #444444; --rule: #999999; --warn: #000000; }
  body { padding: 0; max-width: none; font-size: 10pt; }
  h1, h2, h3, h4 { break-after: avoid; }
  tr, figure, li { break-inside: avoid; }
  thead { display: table-header-group; }
  .wide { overflow: visible; }
  .new-page { break-before: page; }
}
""".strip()


def render_html(document: Document, *, language: str = "en-GB") -> str:
    """The whole document as a valid HTML5 page with its looks and pictures in it; every text is escaped.

    >>> page = render_html(Document("<b>", "", "2026-03-14", (Text("4k7 & more"),)))
    >>> "<h1>&lt;b&gt;</h1>" in page, "<p>4k7 &amp; more</p>" in page, "<script" in page
    (True, True, False)
    """
    headings = [block for block in document.blocks if isinstance(block, Heading)]
    names = iter(_anchors(headings))
    body = [_block(block, next(names) if isinstance(block, Heading) else "") for block in document.blocks]
    front = [f"<h1>{_said(document.title) or 'Untitled'}</h1>"]
    front += [f'<p class="quiet">{_said(text)}</p>' for text in (document.subtitle, document.day) if text.strip()]
    contents = _contents(headings) if document.contents and headings else []
    look = _LOOK.replace("@page {", f"@page {{ size: {_PAGES[document.paper]};")
    lines = [
        "<!DOCTYPE html>",
        f'<html lang="{_said(language)}">',
        "<head>",
        '<meta charset="utf-8">',
        '<meta name="viewport" content="width=device-width, initial-scale=1">',
        # Should a way be found to put a script or a link to elsewhere in, it is still not run and not followed.
        '<meta http-equiv="Content-Security-Policy" '
        "content=\"default-src 'none'; style-src 'unsafe-inline'; img-src data:\">",
        f"<title>{_said(document.title) or 'Untitled'}</title>",
        f"<style>\n{look}\n</style>",
        "</head>",
        "<body>",
        *["<header>", *front, "</header>"],
        *contents,
        *["<main>", *body, "</main>"],
        "</body>",
        "</html>",
    ]
    return "\n".join(lines) + "\n"


def _said(text: str) -> str:
    """A text from outside, harmless in the text and in the attributes of a page."""
    return escape(_UNWRITABLE.sub("\N{REPLACEMENT CHARACTER}", text).replace("\r\n", "\n").replace("\r", "\n"))


def _anchors(headings: Iterable[Heading]) -> list[str]:
    """A name for each heading to jump to: its own where it has a fitting one, and none twice."""
    taken: set[str] = set()
    names: list[str] = []
    for number, one in enumerate(headings, start=1):
        own = re.sub(r"[^A-Za-z0-9_-]+", "-", one.anchor).strip("-")
        name = own if own and own not in taken else f"section-{number}"
        while name in taken:
            name += "-again"
        taken.add(name)
        names.append(name)
    return names


def _contents(headings: list[Heading]) -> list[str]:
    """The headings of the first two levels, each a link to its section."""
    rows = [(one, name) for one, name in zip(headings, _anchors(headings), strict=True) if one.level <= 2]
    lines = ['<nav aria-labelledby="contents-of-this">', '<h2 id="contents-of-this">Contents</h2>', "<ul>"]
    for at, (one, name) in enumerate(rows):
        link = f'<a href="#{name}">{_said(one.text) or "Untitled"}</a>'
        below = one.level > 1 and at > 0
        before = at > 1 and rows[at - 1][0].level > 1
        after = at + 1 < len(rows) and rows[at + 1][0].level > 1
        opening = "<ul>" if below and not before else ""
        ending = "</li>" if below and after else "</li></ul></li>" if below else "" if after else "</li>"
        lines.append(f"{opening}<li>{link}{ending}")
    return [*lines, "</ul>", "</nav>"] if rows else []


def _block(block: Block, anchor: str) -> str:
    match block:
        case Heading():
            tag = f"h{min(3, max(1, block.level)) + 1}"
            return f'<{tag} id="{anchor}">{_said(block.text) or "Untitled"}</{tag}>'
        case Text():
            look = f' class="{block.style}"' if block.style != "body" else ""
            return f"<p{look}>{_said(block.text)}</p>"
        case Facts():
            return _facts(block)
        case Table():
            return _table(block)
        case Boxes():
            return _list("ul", [f"{'☑ done:' if done else '☐ to do:'} {_said(text)}" for text, done in block.items], 1)
        case Items():
            return _list("ol" if block.numbered else "ul", [_said(text) for text in block.items], 0)
        case Picture():
            return _picture(block)
        case PageBreak():
            return '<div class="new-page"></div>'


def _list(tag: str, items: list[str], boxes: int) -> str:
    if not items:
        return ""
    look = ' class="boxes"' if boxes else ""
    return "\n".join([f"<{tag}{look}>", *(f"<li>{one}</li>" for one in items), f"</{tag}>"])


def _facts(facts: Facts) -> str:
    """Names with what stands for each; a name that comes twice running stands once."""
    lines: list[str] = []
    for name, pairs in groupby(facts.pairs, key=lambda pair: pair[0]):
        lines += [f"<dt>{_said(name)}</dt>", *(f"<dd>{_said(what)}</dd>" for _, what in pairs)]
    return "\n".join(["<dl>", *lines, "</dl>"]) if lines else ""


def _table(table: Table) -> str:
    """Rows below headings; a row shorter than the headings is filled up, a longer one is not cut."""
    wide = max([len(table.headings), *(len(row) for row in table.rows)], default=0)
    if not wide:
        return ""
    looks = [' class="right"' if at in table.right else "" for at in range(wide)]
    heads = [*table.headings, *[""] * (wide - len(table.headings))]
    # An empty heading is no heading.
    head = "".join(
        f'<th scope="col"{look}>{_said(text)}</th>' if text.strip() else f"<td{look}></td>"
        for text, look in zip(heads, looks, strict=True)
    )
    drawn = {(one.row, one.column): _drawn(one.picture) for one in table.drawn}
    lines = ['<div class="wide">', '<table class="roomy">' if table.roomy else "<table>"]
    if table.caption.strip():
        lines.append(f"<caption>{_said(table.caption)}</caption>")
    if len(table.shares) == wide and sum(table.shares) > 0:
        widths = (f'<col style="width: {100 * share // sum(table.shares)}%">' for share in table.shares)
        lines.append(f"<colgroup>{''.join(widths)}</colgroup>")
    lines.append(f"<thead><tr>{head}</tr></thead>")
    lines.append("<tbody>")
    for number, row in enumerate(table.rows):
        cells = [drawn.get((number, at), "") + _said(text) for at, text in enumerate([*row, *[""] * (wide - len(row))])]
        said = "".join(f"<td{look}>{cell}</td>" for cell, look in zip(cells, looks, strict=True))
        lines.append(f'<tr class="sum">{said}</tr>' if number in table.sums else f"<tr>{said}</tr>")
    return "\n".join([*lines, "</tbody>", "</table>", "</div>"])


def _picture(picture: Picture) -> str:
    """A picture within the page; as an image, an SVG can neither run a script nor fetch anything."""
    caption = f"<figcaption>{_said(picture.caption)}</figcaption>" if picture.caption.strip() else ""
    width = min(100, max(1, picture.share))
    image = f'<img src="{_source(picture)}" alt="{_said(picture.alt)}" style="width: {width}%">'
    return f"<figure>{image}{caption}</figure>"


def _drawn(picture: Picture) -> str:
    """A small picture before the text of a cell."""
    return f'<img src="{_source(picture)}" alt="{_said(picture.alt)}">'


def _source(picture: Picture) -> str:
    return f"data:{picture.media};base64,{b64encode(picture.content).decode()}"

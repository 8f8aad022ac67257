"""A document as Markdown (CommonMark, with its tables as GitHub-flavoured Markdown has them); texts stay plain text."""

from __future__ import annotations

import re

from buildbook.publish.document import Block, Boxes, Document, Facts, Heading, Items, PageBreak, Picture, Table, Text
from buildbook.trade.plain import clean

# Far more than a builder writes in one go.
LONGEST = 100_000
# A backslash before any of these makes it a plain letter (CommonMark 0.31.2, 2.4); & would begin an entity, < a tag,
# @ and : a link where a renderer makes links of what looks like one.
_SIGNS = re.compile(r"([\\`*_{}\[\]<>#|~&$^@!=])")
# What begins a list, a heading or a rule when it stands first in a line.
_FIRST = re.compile(r"^(\s*)(?:([-+=:])|(\d{1,9})([.)]))")
_LINKED = re.compile(r"(?i)\b(https?|ftp|mailto|javascript|data)(:)|\b(www)(\.)")


def render_markdown(document: Document) -> str:
    r"""The whole document as Markdown; every text is escaped, so that none of it becomes markup.

    >>> print(render_markdown(Document("*Loud*", "", "", (Text("<b>1k & up</b>"),))), end="")
    # \*Loud\*
    <BLANKLINE>
    \<b\>1k \& up\</b\>
    """
    front = [f"# {plain(document.title) or 'Untitled'}"]
    front += [plain(text) for text in (document.subtitle, document.day) if text.strip()]
    return "\n\n".join([*front, *(said for block in document.blocks if (said := _block(block)))]) + "\n"


def plain(text: str) -> str:
    r"""A text on one line, with whatever Markdown would take for markup escaped.

    >>> print(plain("1. [a](javascript:x) | 5_6"))
    1\. \[a\](javascript\:x) \| 5\_6
    """
    said = _SIGNS.sub(r"\\\1", clean(text[:LONGEST], limit=4 * LONGEST))
    said = _LINKED.sub(lambda found: f"{found[1] or found[3]}\\{found[2] or found[4]}", said)
    return _FIRST.sub(lambda found: f"{found[1]}\\{found[2]}" if found[2] else f"{found[3]}\\{found[4]}", said)


def _block(block: Block) -> str:
    match block:
        case Heading():
            return f"{'#' * (min(3, max(1, block.level)) + 1)} {plain(block.text) or 'Untitled'}"
        case Text():
            lines = [plain(line) for line in block.text.splitlines()]
            said = "\n\n".join("\\\n".join(lines[first:end]) for first, end in _runs(lines))
            return "\n".join(f"> {line}".rstrip() for line in said.split("\n")) if block.style == "warning" else said
        case Facts():
            return "\n".join(f"- **{plain(name)}:** {plain(what)}" for name, what in block.pairs)
        case Table():
            return _table(block)
        case Boxes():
            return "\n".join(f"- [{'x' if done else ' '}] {plain(text)}" for text, done in block.items)
        case Items():
            signs = [f"{at}." if block.numbered else "-" for at in range(1, len(block.items) + 1)]
            return "\n".join(f"{sign} {plain(text)}" for sign, text in zip(signs, block.items, strict=True))
        case Picture():
            # A Markdown file is one file: the picture is told, not shown.
            return f"Picture: {plain(block.caption or block.alt)}"
        case PageBreak():
            return ""


def _runs(lines: list[str]) -> list[tuple[int, int]]:
    """Where each run of lines with something in them begins and ends."""
    runs: list[tuple[int, int]] = []
    for at, line in enumerate(lines):
        if not line:
            continue
        if runs and runs[-1][1] == at:
            runs[-1] = (runs[-1][0], at + 1)
        else:
            runs.append((at, at + 1))
    return runs


def _table(table: Table) -> str:
    wide = max([len(table.headings), *(len(row) for row in table.rows)], default=0)
    if not wide:
        return ""
    rows = [[plain(cell) for cell in row] + [""] * (wide - len(row)) for row in (table.headings, *table.rows)]
    rule = "|".join(" ---: " if at in table.right else " --- " for at in range(wide))
    lines = [f"| {' | '.join(row)} |" for row in rows]
    above = [f"{plain(table.caption)}\n"] if table.caption.strip() else []
    return "\n".join([*above, lines[0], f"|{rule}|", *lines[1:]])

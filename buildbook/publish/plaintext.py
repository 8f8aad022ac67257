"""A document as plain text of 80 columns, for a terminal, a description field or a printer without looks."""

from __future__ import annotations

from textwrap import wrap

from buildbook.publish.document import Block, Boxes, Document, Facts, Heading, Items, PageBreak, Picture, Table, Text
from buildbook.trade import plain

WIDTH = 80
# Far more than a builder writes in one go.
LONGEST = 100_000


def render_text(document: Document) -> str:
    """The whole document as plain text; nothing in it can steer a terminal.

    >>> print(render_text(Document("First power", "Curlew", "", (Heading("Done"), Items(("Wind the coil",))))), end="")
    FIRST POWER
    ===========
    Curlew
    <BLANKLINE>
    Done
    ----
    - Wind the coil
    """
    title = clean(document.title).upper() or "UNTITLED"
    front = [title, "=" * min(WIDTH, len(title)), *(clean(one) for one in (document.subtitle, document.day) if one)]
    parts = ["\n".join(front), *(_block(block) for block in document.blocks)]
    # A heading stands right above what it begins.
    whole = ""
    for at, part in enumerate(parts):
        if part:
            close = at > 1 and isinstance(document.blocks[at - 2], Heading)
            whole += part if not whole else ("\n" if close else "\n\n") + part
    return whole + "\n"


def _block(block: Block) -> str:
    match block:
        case Heading():
            said = clean(block.text)
            return f"{said}\n{('-' if block.level == 1 else '.') * min(WIDTH, len(said))}"
        case Text():
            return "\n".join(_lines(f"Caution: {block.text}" if block.style == "warning" else block.text))
        case Facts():
            return "\n".join(_hung(f"{name}: {what}", "") for name, what in block.pairs)
        case Table():
            return _table(block)
        case Boxes():
            return "\n".join(_hung(text, "[x] " if done else "[ ] ") for text, done in block.items)
        case Items():
            signs = [f"{at}. " if block.numbered else "- " for at in range(1, len(block.items) + 1)]
            return "\n".join(_hung(text, sign) for sign, text in zip(signs, block.items, strict=True))
        case Picture():
            return _hung(block.caption or block.alt, "Picture: ")
        case PageBreak():
            return ""


def _lines(text: str) -> list[str]:
    return [line for one in text.splitlines() for line in wrap(clean(one), WIDTH) or [""]]


def _hung(text: str, sign: str) -> str:
    """A text behind a sign; its further lines stand below its first word."""
    return "\n".join(
        wrap(clean(text), WIDTH, initial_indent=sign, subsequent_indent=" " * (len(sign) or 2)) or [sign.strip()]
    )


def _table(table: Table) -> str:
    """Columns side by side where they fit, or else a row as lines of heading and cell."""
    rows = [[clean(cell) for cell in row] for row in (table.headings, *table.rows)]
    wide = max(map(len, rows), default=0)
    rows = [row + [""] * (wide - len(row)) for row in rows]
    widths = [max(len(row[at]) for row in rows) for at in range(wide)]
    above = [clean(table.caption)] if table.caption else []
    if sum(widths) + 2 * wide <= WIDTH + 2:
        said = [
            "  ".join(
                cell.rjust(width) if at in table.right else cell.ljust(width)
                for at, (cell, width) in enumerate(zip(row, widths, strict=True))
            ).rstrip()
            for row in rows
        ]
        return "\n".join([*above, said[0], "  ".join("-" * width for width in widths), *said[1:]])
    return "\n".join(
        [
            *above,
            *(
                _hung("; ".join(f"{head}: {cell}" for head, cell in zip(rows[0], row, strict=True) if cell), "- ")
                for row in rows[1:]
            ),
        ]
    )


def clean(text: str) -> str:
    """A text on one line, harmless; nothing in a document is refused for its length."""
    return plain.clean(text[:LONGEST], limit=4 * LONGEST)

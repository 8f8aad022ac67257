"""Labels for bins, on sheets to cut or peel: the name, a QR code that says it in plain text, and what lies there."""

from __future__ import annotations

import re
from collections.abc import Sequence
from io import BytesIO
from typing import TYPE_CHECKING, Any, Literal, NamedTuple, cast

from buildbook.answers.form import count_of
from buildbook.errors import BadInput
from buildbook.publish.typeset import Files, plain, set_page
from buildbook.trade.plain import quote

if TYPE_CHECKING:
    from buildbook.answers.printed import BinContents, LyingPart
    from buildbook.publish.document import Paper

# Width and height in mm: ISO 216, and the letter size of ANSI Y14.1.
SIZES_MM = {"a4": (210, 297), "us-letter": (216, 279)}
_LEAST_MM = (30, 18)
_INSET_MM, _GAP_MM, _CODE_SHARE = 2.2, 2.5, 0.36  # at the edges, beside the code; of the width, for the code
_SIZES_PT = (6.0, 10.0)  # of the letters, on narrow labels and on others
_NAME_PT = (6.0, 17.0)
_PT_PER_MM = 72 / 25.4
_QUIET_ZONE = 4  # modules, ISO/IEC 18004
_LEAST_MODULE_MM = 0.3  # what a plain printer and the camera of a telephone still tell apart (common practice)
_MOST_PARTS = 40  # more than any label holds; the rest is counted

PAGE = r"""
#let doc = json("document.json")
#set document(title: doc.title, date: none)
#set page(paper: doc.paper, margin: (x: doc.side * 1mm, y: doc.top * 1mm))
#set text(font: ("Libertinus Serif", "DejaVu Sans Mono"), size: doc.size * 1pt, lang: "en", region: "GB",
  hyphenate: false)
#set par(leading: 0.42em, spacing: 0.42em, hanging-indent: 0.8em)
#show "\u{200b}": h(0.0001pt)
#let fitted(name, room) = {
  let size = doc.name-size * 1pt
  while size > doc.least-name-size * 1pt and measure(text(size, strong(name))).width > room { size -= 0.5pt }
  par(hanging-indent: 0pt, text(size, strong(name)))
}
// As many parts as there is room for; how many more there are is said in the last line.
#let listed(label, room) = {
  let told = label.parts
  let left = 0
  let said(told, left) = stack(spacing: 0.42em, ..told.map(par),
    ..if left + label.more > 0 { (text(fill: luma(80), "and " + str(left + label.more) + " more"),) })
  while told.len() > 0 and measure(said(told, left), width: room.width).height > room.height {
    told = told.slice(0, told.len() - 1)
    left += 1
  }
  said(told, left)
}
// The note gives way where the name is long.
#let headed(label, room) = {
  let name = fitted(label.name, room.width)
  let noted = stack(spacing: 0.5em, name, text(fill: luma(80), par(hanging-indent: 0pt, label.note)))
  if label.note != "" and measure(noted, width: room.width).height < room.height / 2 { noted } else { name }
}
#let set-label(label) = block(width: 100%, height: 100%, inset: doc.inset * 1mm, clip: true, stroke: (
  paint: luma(170), thickness: 0.4pt, dash: "dotted"), layout(room => if label != none {
  let words = (width: doc.words * 1mm, height: room.height)
  grid(columns: (doc.code * 1mm, words.width), column-gutter: doc.gap * 1mm, align: (horizon, top),
    image(label.file, width: doc.code * 1mm, alt: "QR code of the bin's name"),
    context {
      let head = headed(label, words)
      let rest = words.height - measure(head, width: words.width).height - 2mm
      block(width: words.width, height: words.height,
        stack(spacing: 2mm, head, listed(label, (width: words.width, height: rest))))
    })
}))
#let many = doc.columns * doc.rows
#for first in range(0, doc.labels.len(), step: many) {
  if first > 0 { pagebreak() }
  grid(columns: (1fr,) * doc.columns, rows: (1fr,) * doc.rows,
    ..doc.labels.slice(first, calc.min(first + many, doc.labels.len())).map(set-label))
}
"""


class Sheet(NamedTuple):
    """How labels lie on a sheet: so many across and down, inside edges in mm, the first few places used up already."""

    across: int = 3
    down: int = 8
    paper: Paper = "a4"
    side_mm: int = 8
    top_mm: int = 12
    skip: int = 0


USUAL = Sheet()


def read_grid(text: str) -> tuple[int, int]:
    """Labels across and down a sheet. Raises BadInput for what is not two numbers.

    >>> read_grid("3x8")
    (3, 8)
    """
    found = re.fullmatch(r"\s*([1-9][0-9]?)\s*[x×*]\s*([1-9][0-9]?)\s*", text)
    if not found:
        raise BadInput(
            "The sheet was not understood.", f"{quote(text)} is not labels across x down.", "Write it as 3x8."
        )
    return int(found[1]), int(found[2])


def render_labels(bins: Sequence[BinContents], sheet: Sheet = USUAL) -> bytes:
    """The labels as a PDF; the same bins give the same bytes. Raises BadInput where they would be too small to read."""
    return cast("bytes", _set_labels(bins, sheet, "pdf"))


def render_label_pages(bins: Sequence[BinContents], sheet: Sheet = USUAL, *, ppi: float = 150.0) -> list[bytes]:
    """The sheets as PNG pictures, to be looked at."""
    pages = _set_labels(bins, sheet, "png", ppi)
    return [pages] if isinstance(pages, bytes) else pages


def _set_labels(
    bins: Sequence[BinContents], sheet: Sheet, form: Literal["pdf", "png"], ppi: float | None = None
) -> bytes | list[bytes]:
    require_room(sheet)
    files: Files = {}
    labels: list[dict[str, Any] | None] = [None] * sheet.skip
    code_mm = code_side_mm(sheet)
    wide, high = label_mm(sheet)
    words_mm = wide - 2 * _INSET_MM - code_mm - _GAP_MM
    size = min(_SIZES_PT[1], max(_SIZES_PT[0], words_mm * 0.235))
    labels += [_label(one, files, code_mm, words_mm * _PT_PER_MM, size) for one in bins]
    content = {
        "title": f"Labels of {count_of(len(bins), 'bin')}",
        "paper": sheet.paper,
        "side": sheet.side_mm,
        "top": sheet.top_mm,
        "columns": sheet.across,
        "rows": sheet.down,
        "inset": _INSET_MM,
        "code": code_mm,
        "gap": _GAP_MM,
        "words": words_mm,
        "size": size,
        "least-name-size": _NAME_PT[0],
        "name-size": min(_NAME_PT[1], high / 2),
        "labels": labels,
    }
    return set_page(PAGE, content, files, form=form, ppi=ppi)


def label_mm(sheet: Sheet) -> tuple[float, float]:
    """How wide and high one label is, in mm; nothing where the edges leave no room.

    >>> label_mm(Sheet(2, 3, "a4", side_mm=5, top_mm=0))
    (100.0, 99.0)
    """
    wide, high = SIZES_MM[sheet.paper]
    return max(0.0, wide - 2 * sheet.side_mm) / sheet.across, max(0.0, high - 2 * sheet.top_mm) / sheet.down


def code_side_mm(sheet: Sheet) -> float:
    """How wide the code of a label is, with its quiet zone, in mm."""
    wide, high = (side - 2 * _INSET_MM for side in label_mm(sheet))
    return round(min(high, wide * _CODE_SHARE), 2)


def require_room(sheet: Sheet) -> None:
    """Raise BadInput where a label would be too small for its code to be read, or more places are skipped than are."""
    wide, high = label_mm(sheet)
    if min(sheet.side_mm, sheet.top_mm) < 0:
        raise BadInput("The labels were not written.", "An edge is narrower than nothing.", "Give it from 0 mm on.")
    if wide < _LEAST_MM[0] or high < _LEAST_MM[1]:
        raise BadInput(
            "The labels were not written.",
            f"One of them would be {wide:.0f} x {high:.0f} mm, and the least is {_LEAST_MM[0]} x {_LEAST_MM[1]} mm.",
            "Put fewer on a sheet, or make its edges narrower.",
        )
    if not 0 <= sheet.skip < sheet.across * sheet.down:
        raise BadInput(
            "The labels were not written.",
            f"A sheet has {sheet.across * sheet.down} places, and {sheet.skip} of them cannot be left out.",
            "Skip fewer.",
        )


def _label(one: BinContents, files: Files, code_mm: float, room_pt: float, size: float) -> dict[str, Any]:
    """A label as plain values; its words are so wide at most, and of that size."""
    room = room_pt / size
    name = f"code-{len(files) + 1}.svg"
    files[name] = qr_code(one.name, code_mm)
    return {
        "name": plain(one.name, room_pt / _NAME_PT[0]),
        "note": plain(one.note, room),
        "file": name,
        "parts": [plain(part_said(part), room - 1) for part in one.parts[:_MOST_PARTS]],
        "more": max(0, len(one.parts) - _MOST_PARTS),
    }


def part_said(part: LyingPart) -> str:
    """A part as it is looked for in a drawer: its key, and its value or name where the key does not say it."""
    said, key = part.value or part.name, part.key.casefold()
    return part.key if all(word in key for word in said.casefold().split()) else f"{part.key}, {said}"


def qr_code(text: str, side_mm: float) -> bytes:
    """A QR code (ISO/IEC 18004) as SVG with its quiet zone, to be printed so wide.

    A quarter of it may be lost and it is still read (level Q), or less where the text is long for its width. Raises
    BadInput for a text so long that its modules would be too small to be read.
    """
    import segno

    most = int(side_mm / _LEAST_MODULE_MM)
    # UTF-8 without its designator, which some readers print in front of the text (common practice).
    encoding = None if text.isascii() else "utf-8"
    for level in ("q", "m", "l"):
        code = segno.make_qr(text, error=level, encoding=encoding)
        if code.symbol_size(border=_QUIET_ZONE)[0] <= most:
            kept = BytesIO()
            code.save(kept, kind="svg", border=_QUIET_ZONE, xmldecl=False, svgclass=None, lineclass=None)
            return kept.getvalue()
    raise BadInput(
        "The labels were not written.",
        f"The name {quote(text)} is too long for a code {side_mm:.0f} mm wide.",
        "Put fewer labels on a sheet, or give the bin a shorter name.",
    )

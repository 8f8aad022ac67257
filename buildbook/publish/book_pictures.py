"""Pictures in the book: photos made small enough to print, and plots; what is missing is said in a sentence."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from io import BytesIO
from typing import TYPE_CHECKING, TypeVar

from buildbook.publish.book_said import day_said
from buildbook.publish.document import Block, Items, Picture, Text

if TYPE_CHECKING:
    from buildbook.answers.record_story import Attached
    from buildbook.publish.paper import Paper

# 170 mm at 240 dots per inch.
MOST_PIXELS = 1_600
QUALITY = 82
# What a photo may unfold to; a larger one is left out.
MOST_UNFOLDED = 200_000_000
SHARE = 80
Row = TypeVar("Row")


def photos(
    attached: Sequence[Attached], kind: str, about: str, content: Callable[[str], bytes | None]
) -> Iterator[Block]:
    """The photos of one thing, then its other files by name and hash."""
    own = [row for row in attached if row.kind == kind and (row.about == about or kind == "build")]
    for row in own:
        if row.media.startswith("image/"):
            yield photo(row, content(row.sha256))
    others = tuple(
        f"{row.name}: {row.caption or row.media} (SHA-256 {row.sha256})"
        for row in own
        if not row.media.startswith("image/")
    )
    if others:
        yield Items(others)


def photo(row: Attached, content: bytes | None) -> Block:
    """One photo with its caption, or a sentence where it cannot be shown."""
    named = row.caption or row.name
    if content is None:
        return Text(f"A photo belongs here that is missing: {named} (SHA-256 {row.sha256}).", "quiet")
    made = printable(content, row.media)
    if made is None:
        return Text(f"A photo belongs here that cannot be shown: {named} (SHA-256 {row.sha256}).", "quiet")
    caption = ", ".join(filter(None, (named.rstrip("."), day_said(row.at))))
    return Picture(made[0], made[1], named, caption, SHARE)  # type: ignore[arg-type]


def printable(content: bytes, media: str) -> tuple[bytes, str] | None:
    """A photo upright, no larger than is printed, without what a camera writes into it; None when it is none."""
    if media == "image/svg+xml":
        return content, media
    from PIL import Image, ImageOps

    try:
        with Image.open(BytesIO(content), formats=("JPEG", "PNG", "WEBP", "GIF")) as found:
            if found.width * found.height > MOST_UNFOLDED:
                return None
            found.draft("RGB", (MOST_PIXELS, MOST_PIXELS))
            upright = ImageOps.exif_transpose(found)
            upright.thumbnail((MOST_PIXELS, MOST_PIXELS))
            held = BytesIO()
            if found.format == "JPEG":
                upright.convert("RGB").save(held, "JPEG", quality=QUALITY)
                return held.getvalue(), "image/jpeg"
            upright.convert("RGBA").save(held, "PNG")
            return held.getvalue(), "image/png"
    except (OSError, ValueError, SyntaxError, Image.DecompressionBombError):
        return None


def plotted(title: str, rows: Sequence[Row], draw: Callable[[Sequence[Row]], Paper]) -> Iterator[Block]:
    """A plot, in as many pictures as it needs pages."""
    from buildbook.publish.paper import svg
    from buildbook.publish.plots import sheets

    for sheet in sheets(rows, draw) if rows else ():
        yield Picture(svg(sheet, title), "image/svg+xml", title)

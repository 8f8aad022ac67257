"""Pages of the demo's book as pictures for the README: `python -m tests.publish.pages` draws them anew."""

from __future__ import annotations

import tempfile
from functools import partial
from io import BytesIO
from pathlib import Path

from PIL import Image

from buildbook.answers.attachments import content_by_hash
from buildbook.answers.record import record
from buildbook.cli.demo import make_demo
from buildbook.publish.book import book
from buildbook.publish.episode import episode_of
from buildbook.publish.typeset import render_pages
from buildbook.store.workshop import open_workshop

HERE = Path(__file__).resolve().parent / "pages"
# The pages that are shown, from 0, and how large they are drawn.
PAGES = (0, 2, 7, 23, 27, 32)
PPI, ACROSS, GAP = 60, 3, 8


def sheet_of(pages: list[bytes]) -> Image.Image:
    """The pages side by side on one picture, in few greys and colours."""
    found = [Image.open(BytesIO(page)).convert("RGB") for page in pages]
    width, height = found[0].size
    rows = -(-len(found) // ACROSS)
    sheet = Image.new("RGB", (ACROSS * (width + GAP) + GAP, rows * (height + GAP) + GAP), "#888")
    for at, page in enumerate(found):
        sheet.paste(page, (GAP + at % ACROSS * (width + GAP), GAP + at // ACROSS * (height + GAP)))
    return sheet.quantize(48)


def main() -> None:
    """Draw six pages of the book, and the second episode."""
    HERE.mkdir(exist_ok=True)
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "demo.db"
        make_demo(path)
        shop = open_workshop(path)
        bound = render_pages(book(record(shop, "CURLEW"), photo=partial(content_by_hash, shop)), ppi=PPI)
        told = render_pages(episode_of(shop, 2, "CURLEW")[1], ppi=PPI)
        shop.close()
    sheet_of([bound[at] for at in PAGES]).save(HERE / "book.png", optimize=True)
    sheet_of(told[:ACROSS]).save(HERE / "episode.png", optimize=True)


if __name__ == "__main__":
    main()

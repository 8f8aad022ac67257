"""What a page to be printed is made of, whatever it is printed with: texts are plain, never markup."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, NamedTuple, TypeAlias

Paper: TypeAlias = Literal["a4", "us-letter"]
Style: TypeAlias = Literal["body", "quiet", "warning"]


class Heading(NamedTuple):
    """A heading: level 1 begins a section, 2 and 3 stand within it; `anchor` is what a reference jumps to."""

    text: str
    level: int = 1
    anchor: str = ""


class Text(NamedTuple):
    """A paragraph; line breaks in it are kept."""

    text: str
    style: Style = "body"


class Facts(NamedTuple):
    """Names with what stands for each, such as a title page has."""

    pairs: tuple[tuple[str, str], ...]


class Table(NamedTuple):
    """Rows below headings; the columns of the numbers in `right` are set right, `shares` are their widths.

    A cell of ☐ or ☑ is a box to tick. `drawn` are small pictures in cells; a `roomy` table has cells to write in by
    hand; the rows counted in `sums`, from 0, stand out.
    """

    headings: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    right: tuple[int, ...] = ()
    shares: tuple[int, ...] = ()
    caption: str = ""
    drawn: tuple[Drawn, ...] = ()
    roomy: bool = False
    sums: tuple[int, ...] = ()


class Drawn(NamedTuple):
    """A small picture that stands before the text of one cell, whose row and column count from 0."""

    row: int
    column: int
    picture: Picture


class Boxes(NamedTuple):
    """Things to tick, each with a box; one that is done has a tick in it."""

    items: tuple[tuple[str, bool], ...]


class Items(NamedTuple):
    """A list, numbered or with dots."""

    items: tuple[str, ...]
    numbered: bool = False


class Picture(NamedTuple):
    """A picture: SVG, PNG or JPEG by its content; `alt` says what there is to see, `share` how wide, of 100."""

    content: bytes
    media: Literal["image/svg+xml", "image/png", "image/jpeg"]
    alt: str
    caption: str = ""
    share: int = 100


class PageBreak(NamedTuple):
    """What follows begins on a new page."""


Block: TypeAlias = Heading | Text | Facts | Table | Boxes | Items | Picture | PageBreak


@dataclass(frozen=True, slots=True)
class Document:
    """A document with its title page; `day` is an ISO 8601 date that belongs to its content, never that of today."""

    title: str
    subtitle: str
    day: str
    blocks: tuple[Block, ...]
    paper: Paper = "a4"
    contents: bool = False

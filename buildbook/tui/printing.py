"""Printing from the screen: the bench copy of a section, the quotation for a build, labels for bins."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING, cast

from buildbook.tui.asking import Option
from buildbook.tui.board_item import item_of
from buildbook.tui.desk import Desk
from buildbook.tui.files import target_of, target_understood

if TYPE_CHECKING:
    from buildbook.actions.workshop import Workshop
    from buildbook.answers.stores import StockRow
    from buildbook.tui.asking import Check

PDF, HTML = ".pdf", ".html"
ALL = "all"


async def print_section(desk: Desk) -> None:
    """Write the bench copy of the section into a file."""
    section = item_of(desk.row).section
    name = f"{section.code.replace('/', '-').lower()}.pdf"
    target = await desk.line(
        f"Print the bench copy of {section.code} into which file? (.pdf or .html)",
        initial=name,
        check=ending_in(PDF, HTML),
    )

    def write(shop: Workshop) -> None:
        from buildbook.exchange.writing import put_bytes
        from buildbook.publish.bench_copy import bench_copy_of
        from buildbook.publish.rendered import render

        file = target_of(target)
        put_bytes(file, render(bench_copy_of(shop, section.code, section.build or None), file))

    await desk.read(write)
    desk.say(f"The bench copy of {section.code} is in {target}.")


async def print_quotation(desk: Desk) -> None:
    """Write the quotation for the section's build into a file, with a margin on its cost."""
    from buildbook.answers.printed import last_day
    from buildbook.answers.quote import quotation, read_margin
    from buildbook.publish.quotation import quotation_page, terms_of
    from buildbook.trade.money import show_money

    build = item_of(desk.row).section.build or desk.build
    day = await desk.read(last_day)

    def margin_understood(text: str) -> str:
        return f"{read_margin(text) / 100:g} % of the price"

    def until_understood(text: str) -> str:
        return f"to {terms_of(day, text).valid_until}" if text.strip() else "to write in by hand"

    margin = await desk.line("How much of the price is margin?", initial="30%", check=margin_understood)
    until = await desk.line("Until which day is it valid? (may be left empty)", check=until_understood, need=False)
    name = f"quotation-{build.lower()}.pdf" if build else "quotation.pdf"
    target = await desk.line(
        "Print the quotation into which file? (.pdf or .html)", initial=name, check=ending_in(PDF, HTML)
    )

    def write(shop: Workshop) -> str:
        from buildbook.exchange.writing import put_bytes
        from buildbook.publish.rendered import render

        offered = quotation(shop, build, margin_bp=read_margin(margin))
        file = target_of(target)
        put_bytes(file, render(quotation_page(offered, terms_of(day, until)), file))
        return f"{offered.build} is offered for {show_money(offered.price_micros, offered.currency)} {offered.currency}"

    said = await desk.read(write)
    desk.say(f"{said}, in {target}.")


async def print_book(desk: Desk) -> None:
    """Write the book of the section's build into a file."""
    await write_book(desk, item_of(desk.row).section.build or desk.build)


async def write_book(desk: Desk, build: str | None) -> None:
    """Write the book of a build, or of the only one, into a file."""
    name = f"book-{build.lower()}.pdf" if build else "book.pdf"
    target = await desk.line(
        "Write the book into which file? (.pdf or .html)", initial=name, check=ending_in(PDF, HTML)
    )

    def write(shop: Workshop) -> str:
        from buildbook.answers.attachments import content_by_hash
        from buildbook.answers.record import record
        from buildbook.exchange.writing import put_bytes
        from buildbook.publish.book import book
        from buildbook.publish.rendered import render

        found, file = record(shop, build), target_of(target)
        put_bytes(file, render(book(found, photo=partial(content_by_hash, shop)), file))
        return found.build

    desk.say(f"The book of {await desk.read(write)} is in {target}.")


async def print_labels(desk: Desk) -> None:
    """Write labels for a bin of the part, or for all bins, into a file."""
    part = cast("StockRow | None", desk.row.about)
    own = [name for name, _ in part.bins] if part else []
    options = [Option(ALL, "All", "every bin of the workshop"), *(Option(f"bin {name}", name) for name in own)]
    chosen = await desk.choose("Labels for which bins?", options)
    target = await desk.line("Print the labels into which file? (.pdf)", initial="labels.pdf", check=ending_in(PDF))

    def write(shop: Workshop) -> int:
        from buildbook.answers.printed import bins
        from buildbook.errors import BadInput
        from buildbook.exchange.writing import put_bytes
        from buildbook.publish.labels import render_labels

        found = bins(shop, [] if chosen == ALL else [chosen.removeprefix("bin ")])
        if not found:
            raise BadInput("No label was written.", "There is no bin yet.", "Count a part into one first.")
        put_bytes(target_of(target), render_labels(found))
        return len(found)

    many = await desk.read(write)
    desk.say(f"{many} label{'' if many == 1 else 's'}: {target}.")


def ending_in(*endings: str) -> Check:
    """What checks the name of a file to be printed into, and hints where one would be replaced."""

    def understood(text: str) -> str | None:
        from buildbook.publish.rendered import require_kind

        require_kind(target_of(text), *endings)
        return target_understood(text)

    return understood

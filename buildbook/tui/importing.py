"""Lists on their way in, on the screen: begun from Boards, Stores, Buying, or in an empty workshop.

A file is picked; then its columns and its rows are shown in two places that stand within the one where one was, until
the list is taken in or left with esc. Nothing is written before it is taken in, as one action.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from buildbook.errors import BadInput
from buildbook.tui.asking import Option
from buildbook.tui.desk import Desk

if TYPE_CHECKING:
    from buildbook.actions.workshop import Workshop
    from buildbook.tui.importing_list import Incoming

# The file beside the settings in which the folder of the last list is kept.
KEPT_IN = "lists-from.txt"


async def import_parts(desk: Desk) -> None:
    """Take a parts list into the section that is selected, or one that is chosen now; or begin with it."""
    from buildbook.tui.importing_list import PARTS, Incoming

    into = await section_at(desk)
    if not into:
        await begin_with_list(desk)
        return
    path = await pick(desk, f"the parts list of {into}")
    await begin(desk, Incoming(path, PARTS, into))


async def section_at(desk: Desk) -> str:
    """The section that is selected or, where the tree is not shown yet, chosen; nothing where there is none."""
    from buildbook.answers.boards import boards
    from buildbook.tui.board_item import item_of

    if desk.frame.head.empty:
        return ""
    row = desk.frame.panel.list.selected
    if row:
        return item_of(row).section.code
    known = (await desk.read(lambda shop: boards(shop, desk.build))).rows
    options = {one.code: Option(one.code, f"{'  ' * one.depth}{one.code}", one.name) for one in known}
    return await desk.choose("Into which section?", list(options.values())) if options else ""


async def import_stock(desk: Desk) -> None:
    """Take in a stock list, as a count of the bins that it names."""
    from buildbook.tui.importing_list import STOCK, Incoming

    refuse_empty(desk)
    await begin(desk, Incoming(await pick(desk, "the stock list"), STOCK))


async def import_prices(desk: Desk) -> None:
    """Take in the price list of a supplier."""
    from buildbook.tui.importing_columns import understand
    from buildbook.tui.importing_list import PRICES, Incoming

    refuse_empty(desk)
    incoming = Incoming(await pick(desk, "the price list"), PRICES)
    now = await desk.read(lambda shop: understand(shop, incoming))
    if "supplier" not in dict(now.read):
        incoming.said = replace(incoming.said, supplier=await seller(desk, incoming.path))
    await begin(desk, incoming)


async def begin_with_list(desk: Desk) -> None:
    """Begin a project and a section with the parts list of that section."""
    from asyncio import to_thread

    from buildbook.exchange.headings import knows
    from buildbook.exchange.intake import read_headed
    from buildbook.tui.first import code_read
    from buildbook.tui.importing_list import PARTS, Incoming

    path = await pick(desk, "a parts list")
    # Nothing is begun for a file that is no list.
    await to_thread(read_headed, path, None, knows(PARTS))
    project = await desk.line("A short code for the project it belongs to, such as CURLEW:", check=code_read)
    section = await desk.line("A short code for the board or section it lists, such as IF:", check=code_read)

    def act(shop: Workshop) -> str:
        from buildbook.actions import boards

        return boards.new_assembly(shop, boards.new_project(shop, project, project.capitalize()), section)

    into = await desk.act(act, said=lambda made: f"{made} is begun. Now its list:")
    desk.go("Boards")
    await begin(desk, Incoming(path, PARTS, into))


def refuse_empty(desk: Desk) -> None:
    """An empty workshop begins with a project."""
    if desk.frame.head.empty:
        raise BadInput("The workshop is empty.", "", "Begin a project or import a parts list first.")


async def pick(desk: Desk, what: str) -> Path:
    """The file that is meant; its folder is remembered."""
    from buildbook.tui.importing_file import AskFile, keep_folder, last_folder, short_path

    settings = desk.app.settings_at
    kept_at = settings.with_name(KEPT_IN) if settings else None
    folder = last_folder(kept_at)
    asking = AskFile(f"Which file is {what}? CSV or XLSX, in {short_path(folder)}, the newest first:", folder)
    picked: str = await desk.open(asking)
    path = Path(picked)
    keep_folder(kept_at, path.parent)
    return path


async def seller(desk: Desk, path: Path) -> str:
    """The supplier whose list it is, by the code; one that the file is named after is offered first."""
    from buildbook.answers.offered import suppliers

    known = await desk.read(suppliers)
    if not known:
        from buildbook.tui.buying_offers import new_supplier

        return await new_supplier(desk)
    named = [code for code, name in known if {code.casefold(), *name.casefold().split()[:1]} & words_of(path.stem)]
    options = [Option(code, code, name) for code, name in known]
    return await desk.choose("Whose price list is it?", options, at=named[0] if named else "")


def words_of(name: str) -> set[str]:
    """The words of a file's name.

    >>> sorted(words_of("Quayside_2027-prices"))
    ['2027', 'prices', 'quayside']
    """
    return set(name.casefold().replace("_", " ").replace("-", " ").split())


async def begin(desk: Desk, incoming: Incoming) -> None:
    """Show the columns of a list; of one that is none, only say so."""
    from buildbook.tui.importing_columns import understand
    from buildbook.tui.importing_places import show_columns

    desk.say(f"Reading {incoming.path.name}")

    def look(shop: Workshop) -> bool:
        from buildbook.answers.catalogue import known_parts

        understand(shop, incoming)
        return not known_parts(shop)

    none_known = await desk.read(look)
    # Where no part is known, every row means a new one.
    incoming.said = replace(incoming.said, new_parts=none_known)
    desk.say("")
    show_columns(desk, incoming)

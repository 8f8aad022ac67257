"""The tree of sections changed: begun, renamed, moved, copied, taken away."""

from __future__ import annotations

from typing import TYPE_CHECKING

from buildbook.tui.board_check import code_check, place_check
from buildbook.tui.board_item import Item, Section, item_of
from buildbook.tui.desk import Desk

if TYPE_CHECKING:
    from buildbook.actions.workshop import Workshop
    from buildbook.answers.boards import BoardRow

PROJECT = "project"
BOARD = "board"


def kinds() -> tuple[str, ...]:
    """The kinds of section."""
    from buildbook.actions.boards import KINDS

    return KINDS


def shown_items(desk: Desk) -> list[Item]:
    """All sections of the tree as it stands."""
    return [item_of(row) for row in desk.frame.panel.list.rows]


def codes_in(desk: Desk, project: str) -> set[str]:
    """The codes of a project's sections, as far as the tree shows them."""
    paths = (item.section.code.partition("/") for item in shown_items(desk))
    return {code or home for home, _, code in paths if home == project}


async def new_in_tree(desk: Desk) -> None:
    """Begin a section inside the one selected or beside it, or another project."""
    from buildbook.tui.asking import Option
    from buildbook.tui.first import start_project

    if not desk.shown:
        await start_project(desk)
        return
    at = item_of(desk.row).section
    project = at.code.partition("/")[0]
    options = [Option(project, f"A section of {project}", "a board, case, panel, harness")]
    if at.code != project:
        options.append(Option(at.code, f"A section inside {at.code}", "one that goes into it"))
    options.append(Option(PROJECT, "A project", "with a build of its own"))
    where = await desk.choose("What is to be begun?", options)
    if where == PROJECT:
        await start_project(desk)
        return
    await new_section(desk, project, where if where != project else "", at.build)


async def new_section(desk: Desk, project: str, inside: str, build: str) -> None:
    """Begin a section with a code, a name and a kind."""
    code = await desk.line(
        "A short code for the section, such as IF:", check=code_check("section", codes_in(desk, project))
    )
    name = await desk.line(f"What is {code.upper()}?", initial=f"{code.capitalize()} board")
    kind = await desk.choose(f"What kind of section is {code.upper()}?", list(kinds()), at=BOARD)

    def act(shop: Workshop) -> str:
        from buildbook.actions import boards

        return boards.new_assembly(shop, project, code, name, kind, inside=inside)

    path = await desk.act(act, said=lambda made: f"{made} is begun. Enter opens it: a adds a line, + a step.")
    desk.select(f"{build} {path}")


async def change_section(desk: Desk, row: BoardRow) -> None:
    """Change the code, the name or the kind of a section; it must still be as it was seen."""
    from buildbook.tui.asking import Option

    project, _, code = row.code.partition("/")
    seen = {"code": code or project, "name": row.name, "kind": row.kind}
    field = await desk.choose(f"Change what of {row.code}?", [Option(key, key, text) for key, text in seen.items()])
    if field == "kind":
        new = await desk.choose(f"What kind of section is {row.code}?", list(kinds()), at=row.kind)
    else:
        others = codes_in(desk, project) - {seen["code"]}
        check = code_check("section", others) if field == "code" else None
        new = await desk.line(f"The {field} of {row.code}:", initial=seen[field], check=check)

    def act(shop: Workshop) -> str:
        from buildbook.actions import boards

        return boards.change_assembly(shop, row.code, expected={field: seen[field]}, **{field: new})

    path = await desk.act(act, said=f"Changed the {field} of {row.code}.")
    desk.select(f"{row.build} {path}")


def beside(desk: Desk, row: BoardRow) -> list[str]:
    """The sections that stand beside one under the same holder, itself included, in their order."""
    found: list[str] = []
    mine = False
    for whole in (item.whole for item in shown_items(desk)):
        if whole is None or whole.build != row.build:
            continue
        if whole.depth < row.depth:
            if mine:
                break
            found = []
        elif whole.depth == row.depth:
            found.append(whole.code)
            mine = mine or whole.code == row.code
    return found


async def move_section(desk: Desk, row: BoardRow) -> None:
    """Give a section its place among those beside it."""
    siblings = beside(desk, row)
    place = await desk.line(
        f"Which place among those beside it is that of {row.code}? (1 to {len(siblings)})",
        initial=str(siblings.index(row.code) + 1),
        check=place_check(len(siblings)),
    )

    def act(shop: Workshop) -> str:
        from buildbook.actions import tree

        return tree.move_assembly(shop, row.code, int(place))

    await desk.act(act, said=f"{row.code} stands at place {place} now.")


async def copy_section(desk: Desk) -> None:
    """Copy a section with its parts list and its checklist, into its own project or another."""
    item = item_of(desk.row)
    source = item.section.code
    head = desk.frame.head
    homes = list(dict.fromkeys([source.partition("/")[0], *(one.code for one in head.builds)]))
    project = await desk.choose(f"Copy {source} into which project?", homes) if len(homes) > 1 else homes[0]
    check = code_check("section", codes_in(desk, project))
    code = await desk.line(f"A code for the copy of {source} in {project}:", check=check)
    name = await desk.line(f"What is {code.upper()}?", initial=item.whole.name if item.whole else "", need=False)

    def act(shop: Workshop) -> str:
        from buildbook.actions import tree

        return tree.copy_assembly(shop, source, project, code, name)

    path = await desk.act(act, said=lambda made: f"{made} is a copy of {source}.")
    desk.select(f"{item.section.build} {path}")


async def drop_section(desk: Desk, section: Section) -> None:
    """Take a section away with its lists; it can be taken back."""

    def act(shop: Workshop) -> None:
        from buildbook.actions import tree

        tree.drop_assembly(shop, section.code)

    await desk.act(act, said=f"{section.code} is taken away.")

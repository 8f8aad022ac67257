"""An empty workshop on the screen: three ways on, and each of them is a row that does it."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from buildbook.tui.desk import Desk
from buildbook.tui.place import Place, Verb
from buildbook.tui.rows import Column, Row, View

if TYPE_CHECKING:
    from buildbook.actions.workshop import Workshop

DEMO, IMPORT, START = "demo", "import", "start"
WAYS = (
    Row(DEMO, ("Open the demo", "look around: three builds, half way through")),
    Row(IMPORT, ("Import a parts list", "a CSV or XLSX file of any layout")),
    Row(START, ("Start a project", "with a code and a name, and nothing in it yet")),
)


async def go_on(desk: Desk) -> None:
    """Take the way that is selected."""
    ways = {DEMO: open_demo, IMPORT: import_list, START: start_project}
    await ways[desk.row.key](desk)


async def open_demo(desk: Desk) -> None:
    """Show the demo workshop, made now if it is not there."""
    from asyncio import to_thread

    app = desk.app
    if app.demo is None:
        desk.warn("The demo cannot be opened from here. Leave with q, then run `buildbook demo`.")
        return
    desk.say("Making the demo workshop: a few seconds.")
    await app.open_workshop(await to_thread(app.demo))


async def start_project(desk: Desk) -> None:
    """Begin a project with one build of it."""
    code = await desk.line("A short code for the project, such as CURLEW:", check=code_read)
    await begin(desk, code)


async def begin(desk: Desk, code: str) -> None:
    """Write the project down."""
    name = await desk.line(f"What is {code.upper()}?", initial=code.capitalize())

    def act(shop: Workshop) -> str:
        from buildbook.actions import boards

        return boards.new_project(shop, code, name)

    await desk.act(act, said=lambda made: f"{made} is begun. Add its sections in Boards.")


async def import_list(desk: Desk) -> None:
    """Take in a parts list, with a project and a section for it."""
    from buildbook.tui.importing import begin_with_list

    await begin_with_list(desk)


def code_read(text: str) -> str | None:
    """Checks a code as it is typed."""
    from buildbook.actions.reading import read_code

    read_code(text, "project")
    return None


class FirstSteps(Place):
    """Three ways on, in whatever place one looks."""

    KEY: ClassVar[str] = "0"
    NAME: ClassVar[str] = "First steps"
    QUESTION: ClassVar[str] = "Where do I begin?"
    FOLDS: ClassVar[bool] = False
    verbs: ClassVar[tuple[Verb, ...]] = (Verb("space", "go on", "take the way that is selected", go_on),)

    def ask(self, shop: Workshop | None, build: str | None) -> View:
        """The three ways."""
        sentence = "The workshop is empty. Three ways on: look at the demo, import a parts list, or start a project."
        return View(sentence, (Column("", shrink=True), Column("", shrink=True)), WAYS)

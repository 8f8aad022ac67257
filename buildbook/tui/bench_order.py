"""The order of work on the screen: what is forgotten, what a step comes after and is held for, and recipes."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, ClassVar, cast

from buildbook.tui.asking import Option
from buildbook.tui.desk import Desk
from buildbook.tui.place import Place, Verb
from buildbook.tui.rows import Cell, Column, Line, Row, View

if TYPE_CHECKING:
    from buildbook.actions.workshop import Workshop
    from buildbook.answers.bench import StepRow
    from buildbook.answers.order import PairRow

TONES = {"dangerous": "bad", "cannot be undone": "warn"}
REVERSED = "The project says the opposite: take that link away first, or say with d that it does not matter here."
LIKE = "like"


class Order(Place):
    """The pairs of steps that the natural order of work orders and the project does not, opened from the Bench."""

    KEY: ClassVar[str] = "1"
    NAME: ClassVar[str] = "Order"
    QUESTION: ClassVar[str] = "What ought to come before what, though nothing says so?"

    def ask(self, shop: Workshop, build: str | None) -> View:
        """The pairs, section by section, the most serious first."""
        from buildbook.answers.order import order

        answer = order(shop, build)
        columns = (
            Column("comes of it"),
            Column("step", rank=1),
            Column("work", shrink=True, least=16),
            Column("is to come after", shrink=True, least=20),
        )
        return View(answer.sentence, columns, [pair_row(row) for row in answer.rows], "esc: back to the steps.")

    def why(self, shop: Workshop, build: str | None, row: Row) -> Sequence[Line]:
        """Why the one ought to come before the other."""
        return row.fold or ()

    def note_about(self, row: Row) -> Mapping[str, str]:
        """A note here is about the later of the two steps."""
        return {"step": pair_of(row).after}


def pair_of(row: Row) -> PairRow:
    """The pair of a row."""
    return cast("PairRow", row.about)


def pair_row(pair: PairRow) -> Row:
    """One pair, with the reason below it."""
    cells = (
        Cell(pair.serious, TONES.get(pair.serious, "")),
        pair.after.partition("/")[2] or pair.after,
        pair.after_name,
        pair.before_name,
    )
    fold = [Line(pair.said), Line(f"{pair.serious}: {pair.reason}", TONES.get(pair.serious, ""))]
    fold += [Line(REVERSED, "quiet")] if pair.how == "reversed" else []
    fold += [Line(f"{pair.before} before {pair.after}", "quiet")]
    return Row(f"{pair.before_step} {pair.after_step}", cells, fold=tuple(fold), about=pair, hay=pair.assembly)


async def link(desk: Desk) -> None:
    """Write down that the one comes after the other."""
    pair = pair_of(desk.row)
    if pair.how == "reversed":
        desk.say(REVERSED)
        return

    def act(shop: Workshop) -> str:
        from buildbook.actions import network

        return network.put_after(shop, pair.after_step, pair.before_step)

    await desk.act(act, said=str)


async def dismiss(desk: Desk) -> None:
    """Say that the order of the two does not matter here, and why; it is not asked about again."""
    pair = pair_of(desk.row)
    reason = await desk.line(f"Why does it not matter here that {pair.before_name} comes first?")

    def act(shop: Workshop) -> str:
        from buildbook.actions import network

        return network.waive(shop, pair.after_step, pair.before_step, reason)

    await desk.act(act, said=str)


Order.verbs = (
    Verb("space", "link", "write down that it comes after", link),
    Verb("d", "does not matter", "say why the order does not matter here", dismiss),
)


# --- verbs of the Bench ----------------------------------------------------------------------------------------------


async def look_at_order(desk: Desk) -> None:
    """Open the order that nobody wrote down."""
    desk.go_in(Order())


def step_of(desk: Desk) -> StepRow:
    """The step of the selected row."""
    return cast("StepRow", desk.row.about)


async def come_after(desk: Desk) -> None:
    """Have the step come after another, of any section of its build."""
    row = step_of(desk)
    others = await desk.read(lambda shop: other_steps(shop, row))
    text = await desk.line(f"{row.name} comes after which step?", complete=list(others))
    before = others.get(text, text)

    def act(shop: Workshop) -> str:
        from buildbook.actions import network

        return network.put_after(shop, row.step, before)

    await desk.act(act, said=str)


def other_steps(shop: Workshop, row: StepRow) -> dict[str, int]:
    """The other steps of a build as one types them, by place and name; those of the same section first."""
    from buildbook.answers.bench import bench

    rows = [one for one in bench(shop, row.build).rows if one.step != row.step]
    rows.sort(key=lambda one: one.assembly != row.assembly)
    return {f"{one.place} {one.name}": one.step for one in rows}


async def come_free(desk: Desk) -> None:
    """Have the step no longer come after another that it names."""
    row = step_of(desk)
    befores = await desk.read(lambda shop: befores_of(shop, row.step))
    if not befores:
        desk.say(f"{row.name} does not say what it comes after.")
        return
    chosen = await desk.choose(
        f"{row.name} no longer comes after:", [Option(str(step), name) for step, name in befores]
    )

    def act(shop: Workshop) -> str:
        from buildbook.actions import network

        return network.set_free(shop, row.step, int(chosen))

    await desk.act(act, said=str)


def befores_of(shop: Workshop, step: int) -> list[tuple[int, str]]:
    """The steps that one says it comes after, by number and name."""
    from buildbook.answers.why_step import befores

    return [(one.step, one.name) for one in befores(shop, step)]


async def hold_for(desk: Desk) -> None:
    """Hold the step while a question of its project is open; or no longer, where it is held for that already."""
    row = step_of(desk)
    project = row.place.partition("/")[0]
    known = await desk.read(lambda shop: open_questions(shop, project))
    if not known:
        desk.say(f"{project} has no open question; ask one in Checks with +.")
        return
    holding = {held.key for held in row.held if held.kind == "question"}
    options = [Option(code, code, name, mark="holds it" if code in holding else "") for code, name in known]
    code = await desk.choose(f"Hold {row.name} for which question?", options)

    def act(shop: Workshop) -> str:
        from buildbook.actions import network

        if code in holding:
            return network.let_go_of_question(shop, row.step, code)
        return network.hold_for_question(shop, row.step, code)

    await desk.act(act, said=str)


def open_questions(shop: Workshop, project: str) -> list[tuple[str, str]]:
    """The questions of a project that are still open: PROJECT/CODE, and what is asked."""
    from buildbook.answers.checks import checks

    rows = checks(shop).rows
    return [
        (f"{row.project}/{row.code}", row.question) for row in rows if row.project == project and row.state == "open"
    ]


async def take_recipe(desk: Desk) -> None:
    """Put the steps of a recipe, or of another checklist, at the end of a checklist."""
    from buildbook.answers.recipes import recipes
    from buildbook.answers.workshop import codes

    options = [Option(one.code, one.name, f"{len(one.steps)} steps", mark=one.code) for one in recipes().rows]
    options.append(Option(LIKE, "Copy the checklist of another section", mark=LIKE))
    recipe = await desk.choose("Take which recipe?", options)
    known = [code for code, _ in await desk.read(lambda shop: codes(shop, "assembly", "")) if "/" in code]
    here = step_of(desk).assembly if desk.shown else ""
    if recipe == LIKE:
        model = await desk.line("Copy the checklist of which section?", complete=known)
        assembly = await desk.line(f"Copy that of {model} to whose checklist?", initial=here, complete=known)
        await desk.act(lambda shop: copied(shop, model, assembly), said=str)
        return
    assembly = await desk.line("Its steps go on whose checklist?", initial=here, complete=known)
    usual = await desk.read(lambda shop: usual_name(shop, assembly))
    called = await desk.line("What do the names of the steps call it?", initial=usual)
    await desk.act(lambda shop: taken(shop, recipe, assembly, called), said=str)


def usual_name(shop: Workshop, assembly: str) -> str:
    """What the steps would call the section."""
    from buildbook.actions import recipes

    return recipes.usual_name(shop, assembly)


def copied(shop: Workshop, model: str, assembly: str) -> str:
    """Copy a checklist."""
    from buildbook.actions import recipes

    return f"{len(recipes.take_like(shop, model, assembly))} steps of {model} are on the checklist of {assembly}."


def taken(shop: Workshop, recipe: str, assembly: str, called: str) -> str:
    """Take a recipe."""
    from buildbook.actions import recipes

    many = len(recipes.take_recipe(shop, recipe, assembly, called=called))
    return f"{many} steps are on the checklist of {assembly}."

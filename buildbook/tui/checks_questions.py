"""The questions of the design on the screen: settled, put off, opened again, asked."""

from __future__ import annotations

from typing import TYPE_CHECKING, cast

from buildbook.tui.asking import Option
from buildbook.tui.checks_kind import Kind, tell
from buildbook.tui.desk import Desk
from buildbook.tui.rows import Cell, Line, Row

if TYPE_CHECKING:
    from buildbook.actions.workshop import Workshop
    from buildbook.answers.checks import ChoiceRow, OptionRow

TONES = {"open": "warn", "chosen": "good", "shelved": "quiet"}
DO = (
    Line("space  settle the question: choose an answer, with the reason", "do", verb="space"),
    Line("w  lay the answers side by side: money, limits, work, room, the finish", "do", verb="w"),
    Line("d  put the question off on purpose, with the reason", "do", verb="d"),
    Line("o  open the question again, with the reason", "do", verb="o"),
)


def choice_row(row: ChoiceRow) -> Row:
    """One question, with its candidate answers and the reason below."""
    chosen = next((one for one in row.options if one.chosen), None)
    answer = chosen.name if chosen else f"{len(row.options)} answers" if row.state == "open" else row.reason
    cells = (Cell(row.state, TONES.get(row.state, "")), f"{row.project}/{row.code}", row.question, answer)
    hay = " ".join([row.reason, *(f"{one.code} {one.name}" for one in row.options)])
    return Row(f"{row.project}/{row.code}", cells, fold=tuple(choice_lines(row)), about=row, hay=hay)


def choice_lines(row: ChoiceRow) -> list[Line]:
    """The candidate answers, on each of which enter settles the question, and the reason if there is one."""
    lines = [Line(row.question)]
    lines += [Line(option_said(one), "head" if one.chosen else "", verb="space", about=one) for one in row.options]
    if row.reason:
        lines.append(Line(f"{row.state} because: {row.reason}"))
    return [*lines, *DO]


def option_said(one: OptionRow) -> str:
    """A candidate answer, and what of the design hangs on it."""
    from buildbook.answers.form import count_of, join_words

    hanging = [count_of(one.lines, "line")] if one.lines else []
    hanging += [count_of(one.assemblies, "assembly", "assemblies")] if one.assemblies else []
    hanging += [count_of(one.steps, "step")] if one.steps else []
    brings = f" (brings {join_words(hanging)})" if hanging else ""
    return f"{'chosen: ' if one.chosen else 'answer: '}{one.code}, {one.name}{brings}"


def question_of(desk: Desk) -> ChoiceRow:
    """The question of the selected row."""
    return cast("ChoiceRow", desk.row.about)


async def settle(desk: Desk) -> None:
    """Choose one of the candidate answers, for a reason."""
    row = question_of(desk)
    code = getattr(desk.about, "code", "")
    if not code:
        options = [Option(one.code, one.code, option_said(one).partition(", ")[2]) for one in row.options]
        chosen = next((one.code for one in row.options if one.chosen), "")
        code = await desk.choose(row.question, options, at=chosen)
    reason = await desk.line(f"{row.question} {code}, because:")

    def act(shop: Workshop) -> str:
        from buildbook.actions import checks

        return checks.settle(shop, row.project, row.code, code, reason)

    await desk.act(act, said=lambda chosen: f"Chosen for {row.project}: {chosen}.")


async def shelve(desk: Desk) -> None:
    """Put the question off on purpose, for a reason."""
    row = question_of(desk)
    reason = await desk.line(f"Put off {row.project}/{row.code}, because:", initial=row.reason)

    def act(shop: Workshop) -> str:
        from buildbook.actions import checks

        return checks.shelve(shop, row.project, row.code, reason)

    await desk.act(act, said=f"Put off: {row.project}/{row.code}.")


async def reopen(desk: Desk) -> None:
    """Open the question again, for a reason."""
    row = question_of(desk)
    if row.state == "open":
        desk.say(f"{row.project}/{row.code} is open.")
        return
    reason = await desk.line(f"Open {row.project}/{row.code} again, because:")

    def act(shop: Workshop) -> str:
        from buildbook.actions import checks

        return checks.reopen(shop, row.project, row.code, reason)

    await desk.act(act, said=f"Open again: {row.project}/{row.code}.")


async def ask(desk: Desk) -> None:
    """Ask a question of the design, with two candidate answers or more."""
    project = await project_meant(desk)
    question = await desk.line(f"What is to be decided on {project}?")
    code = await desk.line("What shall the question be called? (a short code)", check=code_understood)
    options: dict[str, str] = {}
    while True:
        ordinal = ("First", "Second", "Next")[min(len(options), 2)]
        more = "" if len(options) < 2 else ", or nothing when there are no more"
        text = await desk.line(
            f"{ordinal} candidate answer, as CODE name{more}:", check=option_understood, need=len(options) < 2
        )
        if not text:
            break
        option, _, name = text.strip().partition(" ")
        options[option.rstrip(":").upper()] = name.strip() or option

    def act(shop: Workshop) -> str:
        from buildbook.actions import checks

        return checks.ask(shop, project, code, question, options)

    await desk.act(act, said=f"{project}/{code.upper()} is open, with {len(options)} candidate answers.")
    desk.go("Checks", select=f"{project}/{code.upper()}")


async def project_meant(desk: Desk) -> str:
    """The project of the selected question, of the build shown, or one that is typed."""
    from buildbook.answers.workshop import overview

    builds = (await desk.read(overview)).rows
    own = next((one.project for one in builds if one.build == desk.build), "")
    projects = list(dict.fromkeys(one.project for one in builds))
    if own or len(projects) == 1:
        return own or projects[0]
    return (
        await desk.choose("A question on which project?", projects) if projects else await desk.line("Which project?")
    )


def code_understood(text: str) -> str | None:
    """What a code would be, or what is wrong with it."""
    from buildbook.actions.reading import read_code

    return f"it will be {read_code(text, 'question')}"


def option_understood(text: str) -> str | None:
    """How a candidate answer is understood."""
    from buildbook.actions.reading import read_code

    code, _, name = text.strip().partition(" ")
    return f"{read_code(code.rstrip(':'), 'option')}: {name.strip() or code}"


KIND = Kind(
    about="ChoiceRow",
    go_on=settle,
    put_off=shelve,
    reopen=reopen,
    change=tell("Only a test point, a supply or a switch has limits to be changed."),
    add=ask,
)

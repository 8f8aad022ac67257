"""Log on the screen: what happened, and what do I say about it?"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, ClassVar, cast

from buildbook.tui import attaching
from buildbook.tui.checks_snags import add_try, open_snag
from buildbook.tui.desk import Desk
from buildbook.tui.log_episodes import episode_lines, episode_row, mark_moment, own_words, tick_shot
from buildbook.tui.log_telling import add, answer, publish
from buildbook.tui.place import Place, Verb
from buildbook.tui.rows import Cell, Column, Line, Row, View
from buildbook.tui.words import moment

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from buildbook.actions.workshop import Workshop
    from buildbook.answers.log import LogRow


async def open_episode(desk: Desk) -> None:
    """Open the next stage of the build."""
    build = await one_build(desk, "Open an episode of which build?")
    title = await desk.line(f"What is the next episode of {build} about?")

    def act(shop: Workshop) -> int:
        from buildbook.actions import log

        return log.open_episode(shop, build, title)

    await desk.act(act, said=lambda number: f"Episode {number} of {build} is open: {title}.")


async def close_episode(desk: Desk) -> None:
    """Close the open stage, with a recap."""
    build = await one_build(desk, "Close the episode of which build?")
    recap = await desk.line(f"Recap of the open episode of {build} (may be left empty):", need=False)

    def act(shop: Workshop) -> int:
        from buildbook.actions import log

        return log.close_episode(shop, build, recap)

    await desk.act(act, said=lambda number: f"Episode {number} of {build} is closed.")


async def one_build(desk: Desk, question: str) -> str:
    """The build shown, or one that is chosen now."""
    builds = desk.frame.head.builds
    if desk.build:
        return desk.build
    return builds[0].code if len(builds) == 1 else await desk.choose(question, [one.code for one in builds])


TONES = {"action": "quiet", "snag": "warn"}
# How the actions begin that attach something (actions.attachments.attach).
ATTACHED = "Attach "


class Log(Place):
    """What was done and written down, the newest first."""

    KEY: ClassVar[str] = "6"
    NAME: ClassVar[str] = "Log"
    QUESTION: ClassVar[str] = "What happened, and what do I say about it?"
    verbs: ClassVar[tuple[Verb, ...]] = (
        Verb("o", "open episode", "open the next episode of the build", open_episode, on_row=False),
        Verb("c", "close episode", "close the open episode, with a recap", close_episode, on_row=False),
        Verb("X", "snag", "open a snag: something is wrong", open_snag, on_row=False),
        Verb("T", "try", "add a try to the snag opened last", add_try, on_row=False),
        Verb("v", "own words", "edit your own words for an episode", own_words, on_row=False),
        Verb("M", "mark", "mark a moment of a take, for the chapters", mark_moment, on_row=False),
        Verb("w", "publish", "write an episode, or the whole book, into a file", publish, on_row=False),
        Verb("+", "new", "a shot to film, or a question from the audience", add, on_row=False, foot=False),
        Verb("a", "answer", "answer a question from the audience", answer, on_row=False, foot=False),
        Verb("space", "filmed", "tick the shot under the cursor, or take the tick back", tick_shot, on_row=False),
        replace(attaching.VERB, help="attach a photo or a file to the build", on_row=False),
    )

    def ask(self, shop: Workshop, build: str | None) -> View:
        """The episodes, and below them the stream."""
        from buildbook.answers.log import episodes, stream

        answer = stream(shop, build, most=None)
        several = len({row.build for row in answer.rows}) > 1
        columns = (
            Column("when"),
            Column("kind", rank=2),
            *((Column("build", rank=1),) if several else ()),
            Column("what", shrink=True),
            Column("about", shrink=True, rank=3),
        )
        # Counted from the oldest, so that a row keeps its key when another comes in.
        rows = [log_row(len(answer.rows) - at, row, several=several) for at, row in enumerate(answer.rows)]
        told = [episode_row(one, several=several) for one in reversed(episodes(shop, build))]
        remark = "" if rows else "Write down what was seen with n; what is done is noted by itself."
        return View(answer.sentence, columns, told + rows, remark)

    def unfold(self, shop: Workshop, build: str | None, row: Row) -> Sequence[Line]:
        """The draft of an episode, and what is kept for the camera; what an action attached, if it did."""
        from buildbook.answers.log import EpisodeRow

        if isinstance(row.about, EpisodeRow):
            return episode_lines(shop, row.about)
        told = cast("LogRow", row.about)
        return [*lines_of(told), *attaching.attached_then(shop, told.at)]

    def note_about(self, row: Row) -> Mapping[str, str]:
        """A note in the Log is about the build alone."""
        return {}


def log_row(number: int, row: LogRow, *, several: bool) -> Row:
    """A note or an action, in full below."""
    build = (row.build,) if several else ()
    kind = Cell(row.kind, TONES.get(row.kind, ""))
    cells = (Cell(moment(row.at), "quiet", row.at), kind, *build, " ".join(row.what.split()), Cell(row.about, "quiet"))
    # Only what the action attached has to be asked for.
    fold = None if row.kind == "action" and row.what.startswith(ATTACHED) else tuple(lines_of(row))
    return Row(f"{number}", cells, fold=fold, about=row)


def lines_of(row: LogRow) -> list[Line]:
    """All of a row, line by line."""
    lines = [Line(part) for part in row.what.splitlines()]
    lines += [Line(f"about {row.about}", "quiet")] if row.about else []
    return [*lines, Line(f"build {row.build}", "quiet")] if row.build else lines

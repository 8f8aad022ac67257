"""The Log of the screen goes out: an episode or the whole book into a file; shots to film and questions are written."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from buildbook.tui.asking import Option
from buildbook.tui.desk import Desk
from buildbook.tui.files import target_of
from buildbook.tui.log_episodes import episode_meant
from buildbook.tui.printing import HTML, PDF, ending_in, write_book

if TYPE_CHECKING:
    from buildbook.actions.workshop import Workshop

MARKDOWN, TEXT = ".md", ".txt"
BOOK, EPISODE = "book", "episode"


async def publish(desk: Desk) -> None:
    """Write an episode, or the book of the build, into a file."""
    build, number = await episode_meant(desk)
    which = f"episode {number}" if number else "the open episode, or the last"
    options = [
        Option(EPISODE, which, "own words, draft, chapters, captions: .html, .md, .txt or .pdf"),
        Option(BOOK, "the book", f"all of {build}: .pdf or .html"),
    ]
    if await desk.choose(f"Publish what of {build}?", options) == BOOK:
        await write_book(desk, build)
        return
    name = f"{build.lower()}-{number}.html" if number else f"{build.lower()}.html"
    target = await desk.line(
        "Write the episode into which file? (.html, .md, .txt or .pdf)",
        initial=name,
        check=ending_in(HTML, MARKDOWN, TEXT, PDF),
    )

    def write(shop: Workshop) -> int:
        from buildbook.exchange.writing import put_bytes
        from buildbook.publish.episode import episode_of
        from buildbook.publish.rendered import render

        told, document = episode_of(shop, number, build)
        file = target_of(target)
        put_bytes(file, render(document, file))
        return told.number

    desk.say(f"Episode {await desk.read(write)} of {build} is told in {target}.")


async def add(desk: Desk) -> None:
    """Something new: a shot to film, or a question from the audience."""
    options = [
        Option("shot", "a shot to film", "onto the list of the episode"),
        Option("asked", "a question from the audience", "open until it is answered"),
    ]
    await {"shot": add_shot, "asked": ask}[await desk.choose("What is new?", options)](desk)


async def add_shot(desk: Desk) -> None:
    """Put a shot on the list of the selected episode, or else of the open one."""
    from buildbook.actions import filming

    build, number = await episode_meant(desk)
    text = await desk.line("What is to be filmed?")
    await desk.act(lambda shop: filming.add_shot(shop, text, build=build, episode=number), said=f"To film: {text}.")


async def ask(desk: Desk) -> None:
    """Keep a question from the audience."""
    from buildbook.actions import filming

    build, number = await episode_meant(desk)
    text = await desk.line("What was asked?")
    by = await desk.line("By whom? (may be left empty)", need=False)
    keep = partial(filming.ask_from_audience, text=text, build=build, by=by, episode=number)
    await desk.act(keep, said=f"Asked: {text}")


async def answer(desk: Desk) -> None:
    """Answer a question from the audience: the one under the cursor, or one that is chosen."""
    from buildbook.actions import filming
    from buildbook.answers.filming import AskedRow, audience

    meant = desk.about if isinstance(desk.about, AskedRow) else None
    if meant is None:
        rows = [row for row in (await desk.read(audience)).rows if not row.answered_at]
        if not rows:
            desk.say("No question from the audience is open.")
            return
        options = [Option(str(at), row.text, row.asked_by) for at, row in enumerate(rows)]
        meant = rows[int(await desk.choose("Answer which question?", options))]
    question = meant
    text = await desk.line(f"{question.text} Answer:", initial=question.answer)
    await desk.act(lambda shop: filming.answer_audience(shop, question.id, text), said=f"Answered: {question.text}")

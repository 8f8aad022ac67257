"""The episodes in the Log of the screen: their state, their draft below, and what is kept for the camera."""

from __future__ import annotations

from typing import TYPE_CHECKING

from buildbook.tui.desk import Desk
from buildbook.tui.rows import Cell, Line, Row, heading
from buildbook.tui.words import moment

if TYPE_CHECKING:
    from collections.abc import Sequence

    from buildbook.actions.workshop import Workshop
    from buildbook.answers.draft import Draft
    from buildbook.answers.filming import ShotRow
    from buildbook.answers.log import EpisodeRow


def episode_row(one: EpisodeRow, *, several: bool) -> Row:
    """An episode with its state in words; its draft is asked for when it is opened."""
    build = (one.build,) if several else ()
    state = f"closed {moment(one.closed_at)}" if one.closed_at else "open"
    cells = (
        Cell(moment(one.opened_at), "quiet", one.opened_at),
        Cell("episode", "" if one.closed_at else "good"),
        *build,
        f"Episode {one.number}: {one.title}",
        Cell(state, "quiet"),
    )
    return Row(f"episode {one.build} {one.number}", cells, about=one)


def episode_lines(shop: Workshop, one: EpisodeRow) -> Sequence[Line]:
    """What stands below an episode: own words, the draft, and for the camera shots, chapters and questions."""
    from buildbook.answers.draft import draft

    return (*_told(draft(shop, one.number, one.build)), *_for_the_camera(shop, one))


def _told(told: Draft) -> Sequence[Line]:
    lines = [heading("own words"), *(Line(text) for text in (told.words or "none yet").splitlines())]
    if told.recap:
        lines += [heading("recap"), *(Line(text) for text in told.recap.splitlines())]
    for section in told.sections:
        lines += [heading(f"draft: {section.title}"), *(Line(sentence.text) for sentence in section.sentences)]
    return lines


def _for_the_camera(shop: Workshop, one: EpisodeRow) -> Sequence[Line]:
    from buildbook.answers import filming

    here = (one.number, one.build)
    lines: list[Line] = []
    if shots := filming.shots(shop, *here).rows:
        lines += [heading("shots"), *(_shot_line(shot) for shot in shots)]
    for chapters in filming.chapters_by_take(shop, *here):
        lines += [heading(f"chapters of {chapters.take}" if chapters.take else "chapters")]
        lines += [*(Line(row.line) for row in chapters.rows), *(Line(text, "quiet") for text in chapters.told)]
    if asked := filming.audience(shop, one.build, episode=one.number).rows:
        lines += [heading("asked by the audience")]
        lines += [Line(f"{row.text} {row.answer or 'Open.'}", "" if row.answer else "warn", about=row) for row in asked]
    return lines


def _shot_line(shot: ShotRow) -> Line:
    return Line(f"{'filmed ' if shot.done_at else 'to film'}  {shot.text}", "quiet" if shot.done_at else "", about=shot)


async def tick_shot(desk: Desk) -> None:
    """Tick the shot under the cursor off, or take the tick back."""
    from buildbook.actions import filming
    from buildbook.answers.filming import ShotRow

    shot = desk.about
    if not isinstance(shot, ShotRow):
        desk.say("Open an episode with enter, and go to one of its shots.")
        return
    done = not shot.done_at
    await desk.act(
        lambda shop: filming.tick_shot(shop, shot.id, done=done),
        said=lambda text: f"{'Filmed' if done else 'To film again'}: {text}.",
    )


async def own_words(desk: Desk) -> None:
    """Edit the own words for the selected episode, or else for the open one."""
    from buildbook.actions import filming
    from buildbook.answers.draft import draft

    build, number = await episode_meant(desk)
    told = await desk.read(lambda shop: draft(shop, number, build))
    text = await desk.line(f"Own words for episode {told.number} of {build}:", initial=told.words, need=False)
    await desk.act(
        lambda shop: filming.write_words(shop, text, build=build, episode=told.number),
        said=lambda at: f"Own words for episode {at} of {build} are {'put down' if text.strip() else 'taken away'}.",
    )


async def mark_moment(desk: Desk) -> None:
    """Mark a moment of a take."""
    from buildbook.actions import filming
    from buildbook.trade.takes import show_offset

    build, number = await episode_meant(desk)
    text = await desk.line("What is to be seen? (12:40 first power; without a time it is now)")
    await desk.act(
        lambda shop: filming.mark(shop, text, build=build, episode=number),
        said=lambda at: "Marked." if at is None else f"Marked at {show_offset(at)}.",
    )


async def episode_meant(desk: Desk) -> tuple[str, int | None]:
    """The build and number of the selected episode; else a build, and its open episode."""
    from buildbook.answers.log import EpisodeRow
    from buildbook.tui.log import one_build

    one = desk.row.about if desk.shown else None
    if isinstance(one, EpisodeRow):
        return one.build, one.number
    return await one_build(desk, "An episode of which build?"), None

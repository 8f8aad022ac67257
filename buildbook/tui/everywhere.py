"""What can be done in every place: switch build, search, take back, note down, look up keys and actions, export."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import partial
from typing import TYPE_CHECKING

from buildbook.tui.asking import Option
from buildbook.tui.desk import Desk
from buildbook.tui.files import target_of, target_understood
from buildbook.tui.laying import one_line
from buildbook.tui.place import NAVIGATION, Place, Verb
from buildbook.tui.rows import Line, text_of
from buildbook.tui.searching import find_anywhere
from buildbook.tui.themes import DARK, LIGHT
from buildbook.tui.words import day

if TYPE_CHECKING:
    from buildbook.actions.workshop import Workshop

ALL = "all builds"


async def switch_build(desk: Desk) -> None:
    """Choose the build that the screen is about."""
    head = desk.frame.head
    options = [
        Option(one.code, f"{one.code}  {one.name}", f"{units(one.units)}, {one.state}{until(one.target_on)}")
        for one in head.builds
    ]
    options.append(Option(ALL, "All builds", "everything that is planned or under way"))
    code = await desk.choose("Which build?", options, at=head.build or ALL)
    desk.frame.switch(None if code == ALL else code)


def units(number: int) -> str:
    """A number of units.

    >>> units(1), units(10)
    ('1 unit', '10 units')
    """
    return f"{number} unit{'' if number == 1 else 's'}"


def until(on: str) -> str:
    """For when, if that is known."""
    return f", target {day(on)}" if on else ""


async def narrow(desk: Desk) -> None:
    """Type to narrow the list."""
    desk.frame.search()


async def undo(desk: Desk) -> None:
    """Take back what was done last."""
    await desk.act(take_back, said=lambda title: ended(f"Taken back: {title}"))


def take_back(shop: Workshop) -> str:
    """Take back."""
    from buildbook.actions import workshop

    return workshop.undo(shop)


def ended(sentence: str) -> str:
    """A sentence with its full stop, unless it ends otherwise.

    >>> ended("Taken back: Ask which rectifier?"), ended("Taken back: New part R-4K7")
    ('Taken back: Ask which rectifier?', 'Taken back: New part R-4K7.')
    """
    return sentence if sentence.endswith((".", "?", "!", "…")) else f"{sentence}."


async def redo(desk: Desk) -> None:
    """Do again what was taken back."""
    await desk.act(do_again, said=lambda title: ended(f"Done again: {title}"))


def do_again(shop: Workshop) -> str:
    """Do again."""
    from buildbook.actions import workshop

    return workshop.redo(shop)


async def note(desk: Desk) -> None:
    """Write something down, about the selected row where that is something to write about."""
    frame = desk.frame
    row = frame.panel.list.selected
    about = dict(frame.panel.acting.note_about(row)) if row else {}
    whom = about.get("part") or about.get("assembly") or about.get("step") or desk.build or "the workshop"
    text = await desk.line(f"Note on {whom}:")

    def write(shop: Workshop) -> int:
        from buildbook.actions import log

        return log.note(shop, text, build=about.pop("build", desk.build), **about)

    await desk.act(write, said="Written down.")


async def why(desk: Desk) -> None:
    """Show the arithmetic behind the selected row, term by term."""
    row = desk.row
    place, build, about = desk.frame.panel.acting, desk.build, desk.about
    lines: Sequence[Line] = await desk.read(lambda shop: place.why_line(shop, build, row, about))
    if not lines:
        desk.say("There is no arithmetic behind this row.")
        return
    desk.frame.panel.put_fold(row.key, lines)


async def sort(desk: Desk) -> None:
    """Sort by the next column; after the last one, as the place has it."""
    listed = desk.frame.panel.list
    by = 0 if listed.sorted_by is None else listed.sorted_by + 1
    listed.sort_by(by if by < len(listed.columns) else None)


async def turn_round(desk: Desk) -> None:
    """Turn the order round."""
    listed = desk.frame.panel.list
    listed.sort_by(listed.sorted_by, falling=not listed.falling)


async def export(desk: Desk) -> None:
    """Write the list as it stands into a CSV file."""
    listed = desk.frame.panel.list
    name = desk.frame.panel.place.NAME.lower()
    target = await desk.line(
        f"Write these {len(listed)} rows to which file?", initial=f"{name}.csv", check=target_understood
    )
    headings = [column.heading or "remark" for column in listed.columns]
    rows = [[one_line(text_of(cell)) for cell in row.cells] for row in listed.shown]

    def write(_: Workshop) -> None:
        from buildbook.exchange.writing import write_csv

        write_csv(target_of(target), headings, rows)

    await desk.read(write)
    desk.say(f"{len(rows)} rows written to {target}.")


async def keys(desk: Desk) -> None:
    """The keys of this very place; enter does what the key does."""
    place = desk.frame.panel.acting
    verbs = [verb for verb in (*place.verbs, *VERBS) if verb.key]
    options = [Option(verb.key, verb.help, mark=verb.key) for verb in verbs]
    options += [Option("", what, mark=key) for key, what in NAVIGATION]
    key = await desk.choose(f"Keys of {place.NAME}: {place.QUESTION}", options)
    if key:
        desk.frame.press(key)


async def palette(desk: Desk) -> None:
    """Every action by its plain name."""
    frame = desk.frame
    actions: dict[str, tuple[Place | None, Verb]] = {}
    options: list[Option] = []
    for place in (frame.panel.acting, *(one for one in frame.places if one is not frame.panel.acting)):
        for verb in place.verbs:
            actions[f"{place.NAME} {verb.help}"] = (place, verb)
            about = f"{place.NAME}, {verb.word}"
            options.append(Option(f"{place.NAME} {verb.help}", verb.help, about, mark=verb.key))
    for verb in VERBS:
        actions[verb.help] = (None, verb)
        options.append(Option(verb.help, verb.help, verb.word, mark=verb.key))
    options += [Option(f"go {one.KEY}", f"go to {one.NAME}", one.QUESTION, mark=one.KEY) for one in frame.places]
    chosen = await desk.choose("Do what?", options)
    if chosen not in actions:
        frame.press(chosen.removeprefix("go "))
        return
    where, verb = actions[chosen]
    if where is not None and where is not frame.panel.acting:
        frame.go(where.NAME)
    frame.do(verb)


async def use_theme(desk: Desk, name: str) -> None:
    """Use a theme, now and from now on."""
    desk.app.use_theme(name)


async def turn_bell(desk: Desk) -> None:
    """Ring the bell when a wait is over, or no longer."""
    settings = desk.app.settings
    desk.app.keep(replace(settings, bell=not settings.bell))
    desk.say("The bell is silent now." if settings.bell else "The bell rings when a wait is over.")


async def leave(desk: Desk) -> None:
    """Leave the program."""
    desk.app.exit()


VERBS = (
    Verb("/", "find", "narrow the list by typing", narrow, on_row=False),
    Verb("u", "undo", "take back what was done last", undo, on_row=False),
    Verb("n", "note", "write something down", note, on_row=False),
    Verb("y", "why", "show the arithmetic behind the row", why, on_row=False),
    Verb("b", "build", "switch to another build, or all", switch_build, on_row=False),
    Verb("s", "sort", "sort by the next column", sort, on_row=False),
    Verb("S", "turn", "turn the order round", turn_round, on_row=False, foot=False),
    Verb("r", "redo", "do again what was taken back", redo, on_row=False, foot=False),
    Verb("g", "anywhere", "find words anywhere in the workshop, and go there", find_anywhere, on_row=False, foot=False),
    Verb("e", "export", "write the list as it stands into a CSV file", export, on_row=False, foot=False),
    Verb(":", "actions", "every action by its plain name", palette, on_row=False, foot=False),
    Verb("?", "keys", "the keys of this place", keys, on_row=False, foot=False),
    Verb("q", "quit", "leave the program", leave, on_row=False),
    Verb("", "bell", "ring the bell when a wait is over, or no longer", turn_bell, on_row=False, foot=False),
    Verb("", "light", "use the light theme", partial(use_theme, name=LIGHT), on_row=False, foot=False),
    Verb("", "dark", "use the dark theme", partial(use_theme, name=DARK), on_row=False, foot=False),
)

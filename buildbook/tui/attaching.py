"""Photos and files on the screen: one verb attaches one to the selected row, and lines below a row name them."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from buildbook.errors import BadInput
from buildbook.tui.desk import Desk
from buildbook.tui.files import is_there, path_of
from buildbook.tui.place import Verb
from buildbook.tui.rows import Line, heading

if TYPE_CHECKING:
    from collections.abc import Iterable

    from buildbook.actions.workshop import Workshop
    from buildbook.answers.attachments import AttachedRow

# What a file is about, of all that a row is about; the build goes with any of them.
NEAREST = ("step", "assembly", "part")


async def attach(desk: Desk) -> None:
    """Attach a photo or a file to what the selected row is about, else to the build."""
    panel = desk.frame.panel
    row = panel.list.selected
    about = dict(panel.acting.note_about(row)) if row else {}
    what = next((one for one in NEAREST if about.get(one)), "")
    build = about.get("build") or (None if what == "part" else desk.build)
    if not what and not build:
        codes = [one.code for one in desk.frame.head.builds]
        build = codes[0] if len(codes) == 1 else await desk.choose("Attach it to which build?", codes)
    whom = about[what] if what else build
    typed = await desk.line(f"Attach which photo or file to {whom}?", check=source_understood)
    caption = await desk.line("What is to be seen? (may be left empty)", need=False)

    def act(shop: Workshop) -> int:
        from buildbook.actions.attachments import Of
        from buildbook.actions.attachments import attach as take_in

        of = Of(
            build=build,
            step=about[what] if what == "step" else None,
            assembly=about[what] if what == "assembly" else None,
            part=about[what] if what == "part" else None,
        )
        return take_in(shop, path_of(typed, Path.cwd()), of, caption=caption)

    await desk.act(act, said=lambda number: f"Attached to {whom}, number {number}.")


VERB = Verb("N", "attach", "attach a photo or a file", attach, foot=False)


def source_understood(text: str) -> str | None:
    """Nothing to say of a file that is there. Raises BadInput for any other."""
    path = path_of(text, Path.cwd())
    if not is_there(path):
        raise BadInput("There is no file of that name.")
    if path.is_dir():
        raise BadInput("That is a folder.")
    return None


def attached_lines(rows: Iterable[AttachedRow]) -> list[Line]:
    """What is attached, a line each; nothing where nothing is."""
    from buildbook.answers.attachments import said_of

    said = [Line(f"{row.number}  {said_of(row)}", "bad" if row.fault else "") for row in rows]
    return [heading("attached"), *said] if said else []


def attached_to(
    shop: Workshop, *, build: str | None = None, assembly: str | None = None, part: str | None = None
) -> list[Line]:
    """The lines of what is attached to a section in its build, or to a part."""
    from buildbook.answers.attachments import attachments

    return attached_lines(attachments(shop, build, assembly=assembly, part=part).rows)


def attached_then(shop: Workshop, moment: str) -> list[Line]:
    """The lines of what was attached at a moment of the log, with what it is about."""
    from buildbook.answers.attachments import attached_at, said_of

    rows = attached_at(shop, moment)
    if not rows:
        return [Line("It is attached no more.", "quiet")]
    return [Line(f"{row.about}: {said_of(row)}", "bad" if row.fault else "") for row in rows]

"""What the lines around the list say: the build in the title, how the list stands, the keys of the place."""

from __future__ import annotations

from buildbook.tui.everywhere import VERBS, units
from buildbook.tui.folding import FoldingList
from buildbook.tui.head import Head
from buildbook.tui.panel import Panel
from buildbook.tui.words import day


def title_of(head: Head) -> tuple[str, str]:
    """The build with its units, and its target."""
    one = next((one for one in head.builds if one.code == head.build), None)
    if one:
        named = one.code if not one.name else one.name if one.name.upper() == one.code else f"{one.name} ({one.code})"
        return f"{named}, {units(one.units)}", f"target {day(one.target_on)}" if one.target_on else ""
    if head.builds:
        return "All builds", f"{len(head.builds)} planned or under way"
    return "Buildbook", "an empty workshop" if head.empty else "no build planned or under way"


def standing_of(listed: FoldingList) -> str:
    """How the list stands: how many rows, of how many when narrowed, sorted by what."""
    said = []
    if listed.text:
        said.append(f"{len(listed):,} of {len(listed.rows):,} rows")
    elif listed.rows:
        said.append(f"{len(listed):,} row{'' if len(listed) == 1 else 's'}")
    if listed.sorted_by is not None:
        falling = ", falling" if listed.falling else ""
        said.append(f"sorted by {listed.columns[listed.sorted_by].heading or 'the last column'}{falling}")
    elif listed.falling:
        said.append("the last one first")
    return "; ".join(said)


def keys_of(panel: Panel) -> list[tuple[str, str]]:
    """The keys for the foot of the screen, the most wanted first."""
    acting = panel.acting
    own = [(verb.key, verb.word) for verb in acting.verbs if verb.foot and verb.key]
    enter = [("enter", "open")] if acting.FOLDS else []
    enter += [("esc", "back")] if panel.outer else []
    find, *rest = [(verb.key, verb.word) for verb in VERBS if verb.foot]
    return [*own[:1], *enter, find, *own[1:], *rest]

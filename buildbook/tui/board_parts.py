"""Which part is meant: by its key, or by a value in whatever form; one that is not known yet can be made known."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, NamedTuple

from buildbook.errors import BadInput
from buildbook.tui.desk import Desk

if TYPE_CHECKING:
    from buildbook.actions.workshop import Workshop
    from buildbook.tui.asking import Check

MOST_MEANT = 200


class Part(NamedTuple):
    """A part that may be meant."""

    key: str
    kind: str
    name: str
    value: str
    unit: str

    @property
    def said(self) -> str:
        """What it is, in words."""
        return ", ".join(filter(None, (self.name, self.value, self.kind)))


class Parts:
    """All parts, to be searched as one types; `kind` is the kind that is most likely meant by a value."""

    def __init__(self, parts: Sequence[Part], kind: str = "") -> None:
        self.by_key = {part.key.casefold(): part for part in parts}
        self.hays = [(f"{part.key} {part.name} {part.value}".casefold(), part) for part in parts]
        self.kind = kind

    def meant(self, text: str) -> Sequence[str]:
        """The keys that a text may mean: those that begin so, those of that value, those in which it stands."""
        sought = text.casefold().strip()
        if not sought:
            return ()
        begin = [part.key for hay, part in self.hays if hay.startswith(sought)]
        found = [part.key for hay, part in self.hays if sought in hay]
        return list(dict.fromkeys([*begin, *self.of_value(text), *found]))[:MOST_MEANT]

    def of_value(self, text: str) -> list[str]:
        """The keys of the parts of that value, those of the likely kind first."""
        from buildbook.answers.stores import VALUE_KINDS
        from buildbook.tui.stores import size_names

        sizes = {kind: set(size_names(text, kind)) for kind in VALUE_KINDS}
        found = [
            part
            for part in self.by_key.values()
            if part.kind in sizes and sizes[part.kind] and not sizes[part.kind].isdisjoint(value_names(part))
        ]
        return [part.key for part in sorted(found, key=lambda part: part.kind != self.kind)]

    def one(self, text: str) -> Part | None:
        """The part that a text means: by its key, or as the only one of that value and of the likely kind."""
        known = self.by_key.get(text.casefold().strip())
        if known:
            return known
        alike = [self.by_key[key.casefold()] for key in self.of_value(text)]
        likely = [part for part in alike if part.kind == self.kind] or alike
        return likely[0] if len(likely) == 1 else None

    def check(self, *, new: bool) -> Check:
        """Checks a part as it is typed, and says which one is understood."""

        def check(text: str) -> str | None:
            part = self.one(text)
            if part:
                return part.said if part.key.casefold() == text.casefold().strip() else f"{part.key}: {part.said}"
            of_value = self.of_value(text)
            if of_value:
                raise BadInput(f"{len(of_value)} parts have that value.", "", "Choose one with down.")
            if not new:
                raise BadInput("There is no such part.", "", "Choose one with down, or make it known in Stores.")
            from buildbook.actions.incoming import read_key

            return f"{read_key(text)} is not known yet: enter makes it known"

        return check


def value_names(part: Part) -> tuple[str, ...]:
    """The sizes that the value of a part may mean."""
    from buildbook.tui.stores import size_names

    return size_names(part.value, part.kind)


async def ask_part(desk: Desk, question: str, *, initial: str = "", kind: str = "", new: bool = False) -> Part:
    """The part that is typed; with `new`, one that is not known yet is made known on the way."""
    from buildbook.answers.catalogue import known_parts

    rows = await desk.read(known_parts)
    parts = Parts([Part(row.key, row.kind, row.name, row.value, row.unit) for row in rows], kind)
    text = await desk.line(question, initial=initial, check=parts.check(new=new), complete=parts.meant)
    return parts.one(text) or await make_known(desk, text)


async def make_known(desk: Desk, key: str) -> Part:
    """Make a new part known: what kind it is, its value or name."""
    from buildbook.answers.stores import VALUE_KINDS
    from buildbook.trade.kinds import KINDS, read_kind

    kind = await desk.choose(f"{key} is not known yet. What is it?", list(KINDS), at=read_kind(key) or "")
    valued = kind in VALUE_KINDS
    what = await desk.line(f"The value of {key}, such as 4k7 0.6W:" if valued else f"A name for {key}:", need=False)

    def act(shop: Workshop) -> str:
        from buildbook.actions import stores

        return stores.new_part(shop, key, kind=kind, value=what if valued else "", name="" if valued else what)

    made = await desk.act(act, said=lambda named: f"{named} is known now.")
    return Part(made, kind, "" if valued else what, what if valued else "", "pc")

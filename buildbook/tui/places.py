"""The six places in the order of a workshop's day, each loaded when it is first opened, and the first steps."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from importlib import import_module
from typing import NamedTuple, overload

from buildbook.tui.first import FirstSteps
from buildbook.tui.place import Place


class Sign(NamedTuple):
    """What stands over the door of a place: its key and its name, which is that of its module and its class, too."""

    key: str
    name: str


NAMES = ("Bench", "Boards", "Stores", "Buying", "Checks", "Log")
SIGNS = tuple(Sign(f"{number}", name) for number, name in enumerate(NAMES, start=1))


@cache
def loaded(name: str) -> Place:
    """The place of that name; its module is imported now."""
    place = getattr(import_module(f"buildbook.tui.{name.lower()}"), name)()
    assert isinstance(place, Place)
    return place


class Places(Sequence[Place]):
    """The places. Their keys and names are known before any of them is loaded."""

    def __init__(self, signs: Sequence[Sign]) -> None:
        self.signs = signs

    def __len__(self) -> int:
        return len(self.signs)

    @overload
    def __getitem__(self, at: int) -> Place: ...
    @overload
    def __getitem__(self, at: slice) -> Sequence[Place]: ...
    def __getitem__(self, at: int | slice) -> Place | Sequence[Place]:
        return Places(self.signs[at]) if isinstance(at, slice) else loaded(self.signs[at].name)

    def keyed(self, key: str) -> Place | None:
        """The place of that key."""
        return next((loaded(sign.name) for sign in self.signs if sign.key == key), None)


PLACES = Places(SIGNS)
first_steps = FirstSteps()

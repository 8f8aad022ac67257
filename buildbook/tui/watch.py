"""Noticing that somebody else has written: the command line, a second screen, or a backup put back."""

from __future__ import annotations

import sqlite3
from threading import Lock
from typing import TYPE_CHECKING

from buildbook.errors import BuildbookError
from buildbook.tui.door import Door

if TYPE_CHECKING:
    from buildbook.actions.workshop import Workshop

# How often it looks, in seconds: a change is on the screen within twice that.
EVERY_S = 0.8


class Watch:
    """Looks at the file from a connection of its own, one thread at a time."""

    def __init__(self, door: Door) -> None:
        self.door = door
        self._shop: Workshop | None = None
        # The file, by its number on the disk, and what was seen in it; None before the first look.
        self._last: tuple[tuple[int, int], int] | None = None
        self._missed = False
        # Closing a connection under a thread that reads from it would bring the whole program down.
        self._lock = Lock()

    def changed(self) -> bool:
        """Whether anything was written since the last look, by whomever; the first look sees nothing new.

        Raises StoreFault while the file is gone or cannot be read; when it is back, that counts as a change.
        """
        with self._lock:
            try:
                file = self.door.which()
                if self._last and self._last[0] != file:
                    self._let_go()
                    self.door.reopen()
                seen = (file, self._look())
            except BuildbookError:
                self._let_go()
                self._missed = True
                raise
            changed = self._missed or (self._last is not None and seen != self._last)
            self._last, self._missed = seen, False
            return changed

    def _look(self) -> int:
        from buildbook.answers.workshop import changes_seen

        try:
            if self._shop is None:
                self._shop = self.door.open()
            return changes_seen(self._shop)
        except sqlite3.Error as error:
            raise self.door.fault(error) from error

    def _let_go(self) -> None:
        if self._shop is not None:
            self._shop.close()
            self._shop = None

    def close(self) -> None:
        """Let go of the file."""
        with self._lock:
            self._let_go()

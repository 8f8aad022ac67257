"""The way to the workshop file: many may read at once, each on a connection of its own; one writes at a time."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable
from pathlib import Path
from threading import Lock
from typing import TYPE_CHECKING, TypeVar

from buildbook.errors import BuildbookError, StoreFault

if TYPE_CHECKING:
    from buildbook.actions.workshop import Workshop

T = TypeVar("T")


class Door:
    """Opens the workshop at `path` for threads; nothing is opened, nor imported, before it is needed.

    `busy_ms` is how long to wait for another program's write, in milliseconds.
    """

    def __init__(self, path: Path, *, busy_ms: int = 5000) -> None:
        self.path = path
        self.busy_ms = busy_ms
        self._idle: list[Workshop] = []
        self._lock = Lock()
        self._writing = Lock()
        self._writer: Workshop | None = None
        # Which file the writer has open, by its number on the disk.
        self._written: tuple[int, int] | None = None

    def is_absent(self) -> bool:
        """Whether there is no file, or one without a byte in it."""
        try:
            return self.path.stat().st_size == 0
        except FileNotFoundError:
            return True
        except OSError:
            return False

    def is_new(self) -> bool:
        """Whether there is nothing yet, and never was since this door was made."""
        return self._written is None and not self._idle and self.is_absent()

    def open(self) -> Workshop:
        """A connection of one's own, to be closed by whoever asked for it."""
        from buildbook.actions.workshop import open_workshop

        return open_workshop(self.path, create=False, busy_ms=self.busy_ms)

    def read(self, ask: Callable[[Workshop], T]) -> T:
        """What `ask` makes of the workshop, on a connection that nobody else uses meanwhile.

        Raises StoreFault when the file cannot be read, and whatever `ask` raises.
        """
        with self._lock:
            shop = self._idle.pop() if self._idle else None
        try:
            shop = shop or self.open()
            found = ask(shop)
        except sqlite3.Error as error:
            self._give_up(shop)
            raise self.fault(error) from error
        except BuildbookError:
            self._put_back(shop)
            raise
        self._put_back(shop)
        return found

    def write(self, act: Callable[[Workshop], T]) -> T:
        """What `act` returns after it has written; waits its turn. A workshop that is not there yet is made.

        Raises StoreFault when the file cannot be written, and whatever `act` raises.
        """
        with self._writing:
            try:
                return act(self._opened_for_writing())
            except sqlite3.Error as error:
                raise self.fault(error) from error

    def _opened_for_writing(self) -> Workshop:
        """The connection that writes. What is written into a file taken away would be lost, so that is refused."""
        from buildbook.actions.workshop import open_workshop

        if self._written and self.which() != self._written:
            if self._writer is not None:
                self._writer.close()
            self._writer = None
        if self._writer is None:
            self._writer = open_workshop(self.path, create=self._written is None, busy_ms=self.busy_ms)
            self._written = self.which()
        return self._writer

    def which(self) -> tuple[int, int]:
        """Which file lies at the path, by its number on the disk. Raises StoreFault when there is none."""
        try:
            stat = self.path.stat()
        except OSError as error:
            raise StoreFault(
                f"The workshop {self.path} is not there any more.",
                "It was moved, renamed or deleted, or its disk was taken away.",
                "Put it back; this screen keeps looking.",
            ) from error
        return stat.st_dev, stat.st_ino

    def fault(self, error: sqlite3.Error) -> BuildbookError:
        """What SQLite said, in plain words."""
        from buildbook.answers.workshop import trouble

        return trouble(self.path, error)

    def reopen(self) -> None:
        """Let go of every connection, so that the next one finds the file that is there now."""
        with self._lock:
            idle, self._idle = self._idle, []
        for shop in idle:
            shop.close()
        with self._writing:
            if self._writer is not None:
                self._writer.close()
                self._writer = None

    def _put_back(self, shop: Workshop | None) -> None:
        if shop is not None:
            with self._lock:
                self._idle.append(shop)

    def _give_up(self, shop: Workshop | None) -> None:
        if shop is not None:
            shop.close()

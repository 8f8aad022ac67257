"""Picking a list to take in: a line for its path that completes folders, CSV and XLSX files as one types."""

from __future__ import annotations

import os
from collections.abc import Sequence
from contextlib import suppress
from pathlib import Path
from typing import NamedTuple

from textual.widgets import Input

from buildbook.errors import BadInput
from buildbook.tui.asking import MOST_COMPLETIONS, AskLine, Typed
from buildbook.tui.files import is_there, path_of
from buildbook.tui.folding import FoldingList

LISTS = (".csv", ".xlsx")
# More entries of a folder are not looked at: nobody would find a list among them.
MOST_ENTRIES = 20_000
UP = "../"


class Entry(NamedTuple):
    """A list or a folder, by its name; when a list was changed last, in seconds."""

    name: str
    changed: float = 0
    is_folder: bool = False


def entries_of(folder: Path) -> list[Entry]:
    """The lists of a folder, the newest first, then its folders by name; none where it cannot be read."""
    lists: list[Entry] = []
    folders: list[Entry] = []
    with suppress(OSError, ValueError), os.scandir(folder) as found:
        for _, one in zip(range(MOST_ENTRIES), found, strict=False):
            with suppress(OSError):
                if one.is_dir():
                    folders.append(Entry(one.name, is_folder=True))
                elif one.name.casefold().endswith(LISTS):
                    lists.append(Entry(one.name, one.stat().st_mtime))
    lists.sort(key=lambda entry: (-entry.changed, entry.name.casefold()))
    folders.sort(key=lambda entry: entry.name.casefold())
    return lists + folders


def parted(text: str) -> tuple[str, str]:
    """A path as typed, in its folder and the beginning of a name.

    >>> parted("boards/if"), parted("if"), parted("~/")
    (('boards/', 'if'), ('', 'if'), ('~/', ''))
    """
    head, slash, tail = text.lstrip().rpartition("/")
    return head + slash, tail


def completions(text: str, entries: Sequence[Entry]) -> list[str]:
    """What a path as typed may be completed to: entries that begin with its last piece, then those that hold it.

    >>> entries = [Entry("IF.csv"), Entry("wif.xlsx"), Entry("boards", is_folder=True)]
    >>> completions("if", entries), completions("x/", entries)
    (['IF.csv', 'wif.xlsx'], ['x/IF.csv', 'x/wif.xlsx', 'x/boards/', 'x/../'])
    """
    head, tail = parted(text)
    sought = tail.casefold()
    meant = [one for one in entries if sought in one.name.casefold() and (sought.startswith(".") or one.name[0] != ".")]
    meant.sort(key=lambda one: not one.name.casefold().startswith(sought))
    found = [f"{head}{one.name}{'/' if one.is_folder else ''}" for one in meant[:MOST_COMPLETIONS]]
    return found if tail else [*found, head + UP]


class AskFile(AskLine):
    """A path to be typed, counted from `base`; it is left with the path of a file that is there."""

    def __init__(self, question: str, base: Path) -> None:
        super().__init__(question, initial="", check=self.understood, complete=self.meant_by)
        self.base = base
        self._folder: Path | None = None
        self._entries: list[Entry] = []

    def meant_by(self, text: str) -> list[str]:
        """What the text may be completed to; a folder is read once as long as one stays in it."""
        folder = path_of(parted(text)[0], self.base)
        if folder != self._folder:
            self._folder, self._entries = folder, entries_of(folder)
        return completions(text, self._entries)

    def understood(self, text: str) -> str:
        """What the path is. Raises BadInput when there is nothing of that name, nor anything to complete it to."""
        path = path_of(text, self.base)
        try:
            if path.is_file():
                return f"{max(1, path.stat().st_size // 1024):,} KB"
            if path.is_dir():
                return "A folder: enter goes into it."
        except (OSError, ValueError) as error:
            raise BadInput("There is no such file.") from error
        if not self.meant_by(text):
            raise BadInput("There is no folder, CSV or XLSX file of that name.")
        return ""

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """Take the file; go into a folder; else take what the path is completed to."""
        event.stop()
        event.prevent_default()  # which would be to take it whatever it is
        text = event.value
        row = self.query_one(FoldingList).selected
        if text.strip() and self.meant and row and not self.is_there(text):
            text = self.meant[int(row.key)]
        if not text.strip() or not self.is_there(text):
            super().on_input_submitted(event)
        else:
            self.take(text)

    def on_folding_list_entered(self, message: FoldingList.Entered) -> None:
        """A completion was clicked."""
        message.stop()
        message.prevent_default()
        self.take(self.meant[int(message.row.key)])

    def is_there(self, text: str) -> bool:
        """Whether there is a file or a folder of that name."""
        return is_there(path_of(text, self.base))

    def take(self, text: str) -> None:
        """Take a file, go into a folder."""
        path = path_of(text, self.base)
        if not path.is_dir():
            self.dismiss(str(path))
            return
        field = self.query_one(Typed)
        field.value = text if text.endswith("/") else f"{text}/"
        field.cursor_position = len(field.value)
        self._look(field.value, fresh=False)

    def action_complete(self) -> None:
        """Take the completion selected; of a folder, go into it."""
        super().action_complete()
        self._look(self.query_one(Typed).value, fresh=False)


def last_folder(kept_at: Path | None) -> Path:
    """The folder that the last list came from, if it is remembered and still there; else where the program runs."""
    if kept_at is not None:
        with suppress(OSError, UnicodeDecodeError, ValueError):
            folder = Path(kept_at.read_text(encoding="utf-8").strip())
            if folder.is_absolute() and folder.is_dir():
                return folder
    return Path.cwd()


def keep_folder(kept_at: Path | None, folder: Path) -> None:
    """Remember the folder for the next time; where nothing can be written, nobody is harmed."""
    if kept_at is not None:
        with suppress(OSError, UnicodeEncodeError):
            kept_at.parent.mkdir(parents=True, exist_ok=True)
            kept_at.write_text(f"{os.path.normpath(folder)}\n", encoding="utf-8")


def short_path(path: Path) -> str:
    """A path as people say it, with ~ for their own folder."""
    plain = Path(os.path.normpath(path))
    with suppress(RuntimeError, ValueError):
        return f"~/{plain.relative_to(Path.home()).as_posix()}".removesuffix("/.")
    return str(plain)

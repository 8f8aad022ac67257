"""The folder beside the workshop file in which attached files lie, each under the hash of its content.

Nothing else touches that folder. A file in it is written once, to the end and onto the disk, before it gets its name;
it is never changed afterwards, and the same content lies there once, however often it is attached. A file that no row
names any more stays until `tidy`, so that an undo finds it again.
"""

from __future__ import annotations

import hashlib
import os
import re
import stat
import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import NamedTuple

from buildbook.errors import BadInput, StoreFault
from buildbook.trade.media import HEAD_BYTES, media_of, size_said

# A photo has some MB, a short film some hundred; what is larger belongs elsewhere.
LARGEST = 500_000_000
CHUNK = 1 << 20
UNFINISHED = "unfinished-"
_HASH = re.compile(r"[0-9a-f]{64}")
# Not on every system: do not follow a link, do not wait for the other end of a pipe, no translation of line ends.
_READ = os.O_RDONLY | getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0)
_KINDS = ((stat.S_ISLNK, "a link"), (stat.S_ISDIR, "a folder"), (stat.S_ISFIFO, "a pipe"), (stat.S_ISSOCK, "a socket"))


class Kept(NamedTuple):
    """A file as it lies in the folder: the hash of its content, its size in bytes and its media type."""

    sha256: str
    size: int
    media: str


def folder_of(workshop: Path) -> Path:
    """The folder of a workshop's files, beside the file itself, even if that was opened through a link.

    >>> folder_of(Path("/shop/curlew.db")).as_posix()
    '/shop/curlew.db.files'
    """
    real = workshop.resolve()
    return real.with_name(f"{real.name}.files")


def place_of(workshop: Path, sha256: str) -> Path:
    """Where the content of that hash lies, or would lie."""
    return folder_of(workshop) / sha256[:2] / sha256


# --- in --------------------------------------------------------------------------------------------------------------


def take_in(workshop: Path, source: Path, *, largest: int = LARGEST) -> Kept:
    """Copy a file into the folder and return what it is.

    Raises BadInput when it is no plain file, larger than `largest` bytes, or changed while it was copied, and
    StoreFault when the folder cannot be written; nothing is left of it then.
    """
    with _opened(workshop, source) as file:
        size = os.fstat(file).st_size
        if size > largest:
            raise _refused(
                source, f"It has {size_said(size)}, and {size_said(largest)} is the most.", "Make it smaller."
            )
        with _unfinished(workshop, source) as (target, path):
            kept = _copy(source, file, target, largest)
            _settle(target, path, place_of(workshop, kept.sha256), mode=_mode(workshop))
    return kept


def _copy(source: Path, file: int, target: int, largest: int) -> Kept:
    """Copy piece by piece; what is read is what is hashed. Half a photo is never taken for a whole one."""
    before = os.fstat(file)
    summed, size, head = hashlib.sha256(), 0, b""
    while piece := _read(source, file):
        head = head or piece[:HEAD_BYTES]
        size += len(piece)
        if size > largest:
            raise _refused(source, f"It grows beyond {size_said(largest)} while it is read.", "Make it smaller.")
        summed.update(piece)
        _write(target, piece)
    after = os.fstat(file)
    if (before.st_size, before.st_mtime_ns) != (after.st_size, after.st_mtime_ns) or size != after.st_size:
        raise _refused(source, "It changed while it was copied.", "Attach it again when it is finished.")
    return Kept(summed.hexdigest(), size, media_of(head))


def _read(source: Path, file: int) -> bytes:
    try:
        return os.read(file, CHUNK)
    except OSError as error:
        raise _refused(source, f"{error.strerror}.", "Check the disk or the card that it lies on.") from error


def _write(target: int, piece: bytes) -> None:
    left = memoryview(piece)
    while left:
        left = left[os.write(target, left) :]


@contextmanager
def _opened(workshop: Path, source: Path) -> Iterator[int]:
    """The file, opened to be read; never a link, a folder, a pipe, a device, nor the workshop itself.

    Closing the workshop file would take away the locks that this process holds on it (see `workshop.size_of`).
    """
    try:
        found = source.lstat()
        if not stat.S_ISREG(found.st_mode):
            what = next((word for is_so, word in _KINDS if is_so(found.st_mode)), "a device")
            raise _refused(source, f"It is {what}.", "Name a plain file.")
        own = workshop.resolve()
        for end in ("", "-wal", "-shm", "-journal"):
            beside = own.with_name(own.name + end)
            if beside.exists() and os.path.samestat(beside.stat(), found):
                raise _refused(source, "It is the workshop itself.", "Back it up with `buildbook workshop backup`.")
        file = os.open(source, _READ)
    except (OSError, ValueError) as error:
        why = "There is no such file." if isinstance(error, FileNotFoundError) else f"{_why(error)}."
        raise _refused(source, why, "Check its name, and who may read it.") from error
    try:
        # Between the look and the opening somebody may have put something else there.
        if not stat.S_ISREG(os.fstat(file).st_mode):
            raise _refused(source, "It is no plain file.", "Name a plain file.")
        yield file
    finally:
        os.close(file)


def _refused(source: Path, why: str, mend: str) -> BadInput:
    return BadInput(f"{_name(source)} was not attached.", why, mend)


def _name(path: Path) -> str:
    from buildbook.trade.plain import quote

    return quote(path.name or str(path), limit=80)[1:-1]


def _why(error: Exception) -> str:
    return (error.strerror if isinstance(error, OSError) else None) or str(error).capitalize()


@contextmanager
def _unfinished(workshop: Path, source: Path) -> Iterator[tuple[int, Path]]:
    """A file in the folder under a passing name; whatever goes wrong, it does not stay."""
    folder = folder_of(workshop)
    with _faults_named(f"{_name(source)} was not attached.", folder):
        folder.mkdir(exist_ok=True)
        target, name = tempfile.mkstemp(prefix=UNFINISHED, dir=folder)
        try:
            yield target, Path(name)
        finally:
            os.close(target)
            with suppress(OSError):
                os.unlink(name)
            with suppress(OSError):
                folder.rmdir()  # only where it is empty


@contextmanager
def _faults_named(what: str, folder: Path) -> Iterator[None]:
    """Turn what the disk says into one sentence each of what, why and what to do."""
    try:
        yield
    except OSError as error:
        mend = "Check who may write there, and how much room there is."
        raise StoreFault(what, f"The folder {folder} cannot be written: {error.strerror}.", mend) from error


def _settle(target: int, path: Path, place: Path, *, mode: int) -> None:
    """Put what is written in its place, onto the disk with it; content that lies there whole already is left alone."""
    if is_whole(place, place.name):
        return
    os.fsync(target)
    path.chmod(mode)
    place.parent.mkdir(exist_ok=True)
    os.replace(path, place)
    for folder in (place.parent, place.parent.parent, place.parent.parent.parent):
        _sync_folder(folder)


def _mode(workshop: Path) -> int:
    """Whoever may read the workshop may read its files; nobody writes them."""
    try:
        return stat.S_IMODE(workshop.stat().st_mode) & 0o444 | stat.S_IRUSR
    except OSError:
        return stat.S_IRUSR


def _sync_folder(folder: Path) -> None:
    """Have the names in a folder on the disk, where the system can do that."""
    with suppress(OSError):
        opened = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(opened)
        finally:
            os.close(opened)


# --- out -------------------------------------------------------------------------------------------------------------


def pieces_of(path: Path) -> Iterator[bytes]:
    """The content of a plain file, piece by piece. Raises OSError for anything else."""
    file = os.open(path, _READ)
    try:
        if not stat.S_ISREG(os.fstat(file).st_mode):
            raise OSError("It is no plain file")
        while piece := os.read(file, CHUNK):
            yield piece
    finally:
        os.close(file)


def is_whole(path: Path, sha256: str) -> bool:
    """Whether a file is there and its content has that hash. Reads all of it."""
    summed = hashlib.sha256()
    try:
        for piece in pieces_of(path):
            summed.update(piece)
    except OSError:
        return False
    return summed.hexdigest() == sha256


def amiss(workshop: Path, sha256: str, size: int, *, read: bool = False) -> str:
    """What is wrong with a kept file, as the end of a sentence about it; nothing if it is there with its size.

    With `read` its content is held against its hash, too.
    """
    place = place_of(workshop, sha256) if _HASH.fullmatch(sha256) else None
    try:
        found = place.lstat() if place else None
    except OSError:
        found = None
    if place is None or found is None:
        return "is missing"
    if not stat.S_ISREG(found.st_mode):
        return "is no plain file"
    if found.st_size != size:
        return f"has {found.st_size:,} bytes instead of {size:,}"
    return "does not have the content that was attached" if read and not is_whole(place, sha256) else ""


def content_of(workshop: Path, sha256: str) -> bytes | None:
    """The content of that hash; None when it is missing or no longer what was attached."""
    if not _HASH.fullmatch(sha256):
        return None
    try:
        content = b"".join(pieces_of(place_of(workshop, sha256)))
    except OSError:
        return None
    return content if hashlib.sha256(content).hexdigest() == sha256 else None


# --- all of them -----------------------------------------------------------------------------------------------------


def lying(workshop: Path) -> Iterator[Path]:
    """Every plain file in the folder, unfinished ones and strangers among them."""
    for folder, folders, names in os.walk(folder_of(workshop)):
        folders.sort()
        yield from (Path(folder, name) for name in sorted(names))


def strays(workshop: Path, known: Callable[[str], bool]) -> Iterator[Path]:
    """What lies in the folder and is the content of no hash that is known."""
    for path in lying(workshop):
        if path != place_of(workshop, path.name) or not known(path.name):
            yield path


def tidy(workshop: Path, known: Callable[[str], bool]) -> tuple[int, int]:
    """Remove the strays and return how many they were and their bytes. To be done while nobody else can attach."""
    count = size = 0
    folder = folder_of(workshop)
    with _faults_named("The folder was not tidied.", folder):
        for path in [*strays(workshop, known)]:
            size += path.lstat().st_size
            path.unlink()
            count += 1
        for inner in [*folder.glob("??"), folder]:
            with suppress(OSError):
                inner.rmdir()  # only where it is empty
    return count, size


def bring_along(source: Path, target: Path) -> int:
    """Have all whole files of one workshop lie in the folder of another, too; return how many were not there yet.

    On one disk the same file gets a second name (a hard link), which costs no room; elsewhere it is copied. Contents
    never change, so neither workshop can spoil the other's. What is damaged at the target is replaced.
    """
    count = 0
    with _faults_named("The attached files were not brought along.", folder_of(target)):
        for path in lying(source):
            place = place_of(target, path.name)
            if path != place_of(source, path.name) or is_whole(place, path.name) or not is_whole(path, path.name):
                continue
            _double(path, place, mode=_mode(source))
            count += 1
    return count


def _double(path: Path, place: Path, *, mode: int) -> None:
    folder = place.parent.parent
    place.parent.mkdir(parents=True, exist_ok=True)
    target, name = tempfile.mkstemp(prefix=UNFINISHED, dir=folder)
    passing = Path(name)
    try:
        try:
            second = passing.with_name(f"{passing.name}-link")
            os.link(path, second)
            os.replace(second, passing)
        except OSError:
            for piece in pieces_of(path):
                _write(target, piece)
            os.fsync(target)
            passing.chmod(mode)
        os.replace(passing, place)
    finally:
        os.close(target)
        passing.unlink(missing_ok=True)
    for inner in (place.parent, folder, folder.parent):
        _sync_folder(inner)


def drop_all(workshop: Path) -> None:
    """Remove the whole folder of a workshop that is itself thrown away."""
    tidy(workshop, lambda _: False)

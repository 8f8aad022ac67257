"""Opening a file from outside with care: its size, what it really is, and how its text is encoded."""

from __future__ import annotations

import codecs
import stat
import zipfile
from io import BytesIO
from pathlib import Path

from buildbook.exchange.cells import unread

LARGEST_FILE = 64 * 2**20
LARGEST_UNPACKED = 512 * 2**20
MOST_PARTS = 10_000

# First bytes of files that are no list; a ZIP may be a workbook and is looked into.
_ZIP = b"PK\x03\x04"
_MAGIC = {
    b"\x89PNG": "a PNG picture",
    b"\xff\xd8\xff": "a JPEG picture",
    b"GIF8": "a GIF picture",
    b"%PDF": "a PDF document",
    b"\xd0\xcf\x11\xe0": "an old or encrypted workbook",
    b"SQLite format 3\0": "a database",
    b"\x1f\x8b": "a packed file",
    b"7z\xbc\xaf": "a packed file",
    b"Rar!": "a packed file",
    b"\x7fELF": "a program",
    b"MZ\x90\0": "a program",
    b"PK\x05\x06": "an empty ZIP file",
}
_BOMS = {
    codecs.BOM_UTF8: "utf-8-sig",
    codecs.BOM_UTF32_LE: "utf-32",  # before UTF-16, whose mark is the first half of this one
    codecs.BOM_UTF16_LE: "utf-16",
    codecs.BOM_UTF16_BE: "utf-16",
}


def take_bytes(path: Path) -> bytes:
    """Read a whole file into memory, at most 64 MB; the size is looked at before the first byte is read.

    Raises BadInput when it is missing, a folder, not a plain file, not allowed, too large or empty.
    """
    try:
        about = path.stat()
        if stat.S_ISDIR(about.st_mode):
            raise unread(path, "It is a folder.", "Give a CSV or XLSX file in it.")
        if not stat.S_ISREG(about.st_mode):
            raise unread(path, "It is not a plain file.")
        if about.st_size > LARGEST_FILE:
            raise unread(
                path, f"It has {about.st_size / 2**20:,.0f} MB and 64 MB is the most.", "Split it into smaller files."
            )
        with path.open("rb") as file:
            raw = file.read(about.st_size)
    except FileNotFoundError:
        raise unread(path, "There is no such file.", "Look at the spelling of its path.") from None
    except PermissionError:
        raise unread(path, "You are not allowed to read it.", "Change its permissions or copy it.") from None
    except (OSError, ValueError) as fault:
        raise unread(path, f"The system could not read it: {getattr(fault, 'strerror', None) or fault}.") from None
    if not raw.strip(b" \t\r\n"):
        raise unread(path, "It is empty.", "Give a file with headings and rows.")
    return raw


def is_workbook(path: Path, raw: bytes) -> bool:
    """Tell an XLSX workbook from a text file by its bytes, never by its name.

    Raises BadInput for pictures and other files that are neither, for a damaged workbook, and for one that would unpack
    to more than 512 MB.
    """
    for magic, what in _MAGIC.items():
        if raw.startswith(magic):
            raise unread(path, f"It is {what}, not a list.")
    if not raw.startswith(_ZIP):
        return False
    try:
        with zipfile.ZipFile(BytesIO(raw)) as parts:
            listed = parts.infolist()
    except (zipfile.BadZipFile, ValueError, NotImplementedError, EOFError):
        raise unread(path, "It is a damaged workbook or ZIP file.", "Save it again as XLSX or CSV.") from None
    if sum(part.file_size for part in listed) > LARGEST_UNPACKED or len(listed) > MOST_PARTS:
        raise unread(path, "It would unpack to more than 512 MB.", "Save only the list itself.")
    if "xl/workbook.xml" not in {part.filename for part in listed}:
        raise unread(path, "It is a ZIP file without an XLSX workbook in it.")
    return True


def decode(path: Path, raw: bytes) -> tuple[str, str]:
    """Give the text of a file and its encoding: by its mark (UTF-8, -16, -32), else UTF-8, else Windows-1252.

    Raises BadInput for binary files and for bytes that are text in none of these.
    """
    for bom, encoding in _BOMS.items():
        if raw.startswith(bom):
            return _decoded(path, raw, (encoding,))
    return _decoded(path, raw, ("utf-8", "cp1252"))


def _decoded(path: Path, raw: bytes, encodings: tuple[str, ...]) -> tuple[str, str]:
    for encoding in encodings:
        try:
            text = raw.decode(encoding)
        except UnicodeDecodeError:
            continue
        if "\0" in text:
            raise unread(path, "It holds zero bytes, so it is not a text file.")
        return text, encoding
    raise unread(
        path, f"Its text is in none of the encodings {', '.join(encodings)}.", "Save it again as CSV in UTF-8."
    )

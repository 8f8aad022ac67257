"""Proof that every attached file lies in the folder as it was attached."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from itertools import islice
from pathlib import Path

from buildbook.store.evidence import Evidence, count_of, many
from buildbook.store.files import amiss, folder_of, strays
from buildbook.trade.plain import quote

ATTACHED = "SELECT id, name, sha256, size FROM attachment ORDER BY id"
KNOWN = "SELECT DISTINCT sha256 FROM attachment"
MOST_STRAYS = 5


def files_are_there(db: sqlite3.Connection) -> Evidence:
    """Each attached file is there with its hash and its size; what else lies in the folder is named."""
    workshop = Path(next(row[2] for row in db.execute("PRAGMA database_list") if row[1] == "main"))
    known = {row[0] for row in db.execute(KNOWN)}
    count = count_of(db, "SELECT count(*) FROM attachment")
    said = f"{many(count, 'attachment')}, {many(len(known), 'file')} with the content that was attached."
    folder = folder_of(workshop)
    found = [quote(str(path.relative_to(folder)), limit=80)[1:-1] for path in strays(workshop, known.__contains__)]
    if found:
        more = f" and {len(found) - MOST_STRAYS} more" if len(found) > MOST_STRAYS else ""
        named = ", ".join(islice(found, MOST_STRAYS))
        said += f" Attached to nothing: {named}{more}; `buildbook workshop check --tidy` removes them."
    return Evidence(said, _faults(db, workshop))


def _faults(db: sqlite3.Connection, workshop: Path) -> Iterator[str]:
    proved: dict[tuple[str, int], str] = {}
    for number, name, sha256, size in db.execute(ATTACHED):
        if (sha256, size) not in proved:
            proved[sha256, size] = amiss(workshop, sha256, size, read=True)
        if wrong := proved[sha256, size]:
            yield f"attachment {number} ({name}) {wrong}"

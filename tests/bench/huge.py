"""A workshop far larger than any real one, always the same for the same seed: 200 projects, 500,000 movements.

It is written straight into a freshly migrated file, without the journal: the ledger, the balances, the worth and the
holdings agree with each other, but no journal entry tells where the rows come from. At a scale of 1 it has 200 projects
with one build each, 2,000 assemblies up to 5 deep, 100,000 lines, 20,000 parts and 40,000 offers with 4 breaks each.
"""

from __future__ import annotations

import hashlib
import os
import random
import shutil
import sqlite3
import tempfile
from pathlib import Path

from buildbook.store.migrate import migrations_folder
from buildbook.store.workshop import open_workshop
from tests.bench.filling import Filling, Size
from tests.bench.movements import Ledger

SEED = 20_240


def huge_workshop(scale: float = 1.0, seed: int = SEED) -> Path:
    """The workshop file of that scale and seed, kept in the folder for temporary files; never write to it, copy it."""
    migrations = sorted((migrations_folder() / "versions").glob("*.py"))
    sources = [Path(__file__).with_name(f"{name}.py") for name in ("huge", "filling", "movements")]
    stamp = hashlib.sha256(b"".join(path.read_bytes() for path in (*migrations, *sources))).hexdigest()[:12]
    path = Path(tempfile.gettempdir()) / f"buildbook-bench-{seed}-{scale:g}-{stamp}.db"
    if not path.exists():
        making = path.with_suffix(f".{os.getpid()}")
        fill(making, scale=scale, seed=seed)
        making.replace(path)
    return path


def copy_of(path: Path, to: Path) -> Path:
    """A copy that may be written to."""
    shutil.copyfile(path, to)
    return to


def fill(path: Path, *, scale: float, seed: int = SEED) -> None:
    """Make the workshop at `path`, which must not be there yet."""
    open_workshop(path).close()
    db = sqlite3.connect(path, isolation_level=None)
    db.execute("PRAGMA synchronous = OFF")
    db.execute("PRAGMA cache_size = -200000")
    db.execute("BEGIN")
    filling = Filling(db, random.Random(seed), Size.at(scale))
    filling.write()
    Ledger(filling).write()
    db.execute("COMMIT")
    db.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    db.close()

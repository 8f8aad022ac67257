"""How long a command takes from cold, against a process that does no more than it must."""

from __future__ import annotations

import json
import os
import sqlite3
import subprocess
import sys
from collections.abc import Sequence
from pathlib import Path

from tests.bench.race import Ground, Race

# What a report cannot do without: a command line, a table, and the rows, which lie ready in the file.
SCRIPT = """
import sqlite3
import sys

import typer
from rich.console import Console
from rich.table import Table

app = typer.Typer(add_completion=False, rich_markup_mode=None, pretty_exceptions_enable=False)


@app.command()
def report(db: str) -> None:
    connection = sqlite3.connect(db)
    found = connection.execute("SELECT * FROM report")
    table = Table(*(column[0] for column in found.description))
    for row in found:
        table.add_row(*row)
    Console(width=150).print(table)


app()
"""
IMPORTS = "import typer, rich"
# The fields of each answer that its table shows.
SHOWN = {
    "bench": ("state", "place", "name", "work", "likely_min", "caution"),
    "buying short": ("key", "value", "need", "short", "spoken_for", "due_on"),
}
# The field by which a row is known.
NAMES = {"bench": "place", "buying short": "key"}


def cold(ground: Ground, words: Sequence[str], db: Path | None = None) -> str:
    """What a fresh Python prints when it is run with these words; modules are compiled once, as when installed."""
    env = {**os.environ, "BUILDBOOK_DB": str(db or ""), "COLUMNS": "150"}
    env.pop("PYTHONDONTWRITEBYTECODE", None)
    env["PYTHONPYCACHEPREFIX"] = str(ground.folder / "compiled")
    return subprocess.run([sys.executable, *words], env=env, capture_output=True, text=True, check=True).stdout


def buildbook(ground: Ground, words: str, db: Path | None = None) -> str:
    """What a command of Buildbook prints."""
    return cold(ground, ["-m", "buildbook", *words.split()], db)


def version(ground: Ground) -> Race:
    """The version, against importing what a command line is made of."""
    return against_imports("--version", ground)


def help_text(ground: Ground) -> Race:
    """The help, against importing what a command line is made of."""
    return against_imports("--help", ground)


def against_imports(words: str, ground: Ground) -> Race:
    """A command that reads nothing."""
    return Race(
        f"buildbook {words}",
        f'python -c "{IMPORTS}"',
        1.3,
        lambda: buildbook(ground, words),
        lambda: cold(ground, ["-c", IMPORTS]),
    )


def bench_report(ground: Ground) -> Race:
    """What can be done now, from cold."""
    return against_script("bench", ground)


def short_report(ground: Ground) -> Race:
    """What is short, from cold."""
    return against_script("buying short", ground)


def against_script(words: str, ground: Ground) -> Race:
    """A report on the demo, against a script that prints the same rows, which it finds ready-made in a file."""
    db = demo(ground)
    rows = json.loads(buildbook(ground, f"{words} --json", db))["rows"]
    if words == "bench":
        # Steps that are done or held are only counted unless they are asked for.
        rows = [row for row in rows if row["state"] in ("ready", "in hand", "waiting")]
    fields = SHOWN[words]
    cells = [[str(row[field]) for field in fields] for row in rows]
    ready = ground.folder / f"{words.replace(' ', '-')}.db"
    lay_out(ready, fields, cells)
    script = ready.with_suffix(".py")
    script.write_text(SCRIPT, encoding="utf-8")
    names = [row[fields.index(NAMES[words])] for row in cells]
    return Race(
        f"buildbook {words}, from cold",
        f"a script with typer, rich and sqlite3 that prints the same {len(rows)} rows",
        1.5,
        lambda: buildbook(ground, words, db),
        lambda: cold(ground, [str(script), str(ready)]),
        lambda ours, theirs: bool(names) and all(name in ours and name in theirs for name in names),
    )


def lay_out(path: Path, fields: Sequence[str], cells: Sequence[Sequence[str]]) -> None:
    """Put the rows of a report into a file of their own."""
    connection = sqlite3.connect(path)
    connection.execute(f"CREATE TABLE report ({', '.join(fields)})")
    connection.executemany(f"INSERT INTO report VALUES ({', '.join('?' * len(fields))})", cells)
    connection.commit()
    connection.close()


def demo(ground: Ground) -> Path:
    """The demo workshop; in a trial the generated one, which is there at once."""
    if ground.trial:
        return ground.workshop
    path = ground.folder / "demo.db"
    if not path.exists():
        cold(ground, ["-m", "buildbook", "demo", "--no-screen", "--db", str(path)])
    return path

"""Being there at once is a promise: what a cold start may import, counted in a real process."""

from __future__ import annotations

import os
import subprocess
import sys

import pytest

from buildbook.actions.workshop import Workshop

HEAVY = {
    "alembic",
    "matplotlib",
    "mako",
    "numpy",
    "openpyxl",
    "ortools",
    "pandas",
    "pydantic",
    "segno",
    "sqlalchemy",
    "sqlmodel",
    "textual",
    "typst",
}
PROGRAM = """
import sys
from buildbook.cli.begin import run
try:
    run()
finally:
    print("\\n".join(sorted(sys.modules)), file=sys.stderr)
"""

pytestmark = pytest.mark.process


def modules(*words: str, db: str = "") -> set[str]:
    """What is imported by the time that the program ends."""
    env = {**os.environ, "BUILDBOOK_DB": db}
    command = [sys.executable, "-c", PROGRAM, *words]
    result = subprocess.run(command, env=env, capture_output=True, text=True, check=False)
    assert result.returncode == 0, result.stderr[-1000:]
    return set(result.stderr.splitlines())


def packages(found: set[str]) -> set[str]:
    return {name.partition(".")[0] for name in found}


@pytest.mark.parametrize("word", ["--version", "--help"])
def test_saying_what_it_is_takes_typer_and_little_more(word: str) -> None:
    found = modules(word)
    assert not packages(found) & (HEAVY | {"sqlite3", "platformdirs"})
    # Rich is for tables and bars; these two have neither.
    assert "rich.console" not in found
    own = {name for name in found if name.startswith("buildbook.")}
    assert own <= {
        "buildbook.cli",
        "buildbook.cli.begin",
        "buildbook.cli.frame",
        "buildbook.cli.main",
        "buildbook.cli.plainly",
        "buildbook.errors",
    }


@pytest.mark.parametrize(
    "words",
    [
        [],
        ["bench"],
        ["bench", "--json"],
        ["checks"],
        ["log"],
        ["log", "search", "case"],
        ["workshop"],
        ["workshop", "check"],
        ["workshop", "settings"],
    ],
)
def test_an_answer_takes_sqlite_and_no_orm(words: list[str], curlew: Workshop) -> None:
    curlew.close()
    found = packages(modules(*words, db=str(curlew.path)))
    assert "sqlite3" in found
    assert not found & HEAVY


@pytest.mark.parametrize("place", ["bench", "boards", "stores", "buying", "checks", "log", "workshop"])
def test_a_place_loads_itself_alone(place: str) -> None:
    found = modules(place, "--help")
    assert not packages(found) & HEAVY
    places = {"bench", "boards", "stores", "buying", "checks", "log", "workshop"}
    assert {name for name in places if f"buildbook.cli.{name}" in found} == {place}

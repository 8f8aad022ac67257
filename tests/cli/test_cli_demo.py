"""The demo workshop: in a place of its own, made once, and never in the way of somebody's own workshop."""

from __future__ import annotations

import json
import os
import re
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest
from typer.testing import CliRunner, Result

from buildbook.actions.workshop import default_place, demo_place
from buildbook.cli import demo
from buildbook.cli.main import app

Say = Callable[..., Result]
SENTENCE = re.compile(
    r"3 builds planned or under way, [0-9]+ steps ready, 2 questions open, [0-9]+ parts in [0-9]+ bins\."
)


@pytest.fixture(autouse=True)
def made_already(monkeypatch: pytest.MonkeyPatch, demo_file: Path) -> None:
    """The demo takes seconds to make; here it is copied from one that has been made."""

    def copy(path: Path, *, silent: bool = False) -> None:
        path.parent.mkdir(parents=True, exist_ok=True)
        shutil.copyfile(demo_file, path)

    monkeypatch.setattr(demo, "make_demo", copy)


def run(*words: str) -> Result:
    """Run the program with nothing but a home of its own."""
    return CliRunner().invoke(app, list(words))


def test_it_lies_in_a_place_of_its_own(home: Path) -> None:
    result = run("demo", "--no-screen")
    assert result.exit_code == 0
    assert SENTENCE.fullmatch(result.stdout.splitlines()[0])
    assert home in demo_place().parents
    assert demo_place().exists()
    assert not default_place().exists()
    assert str(demo_place()) in result.stdout


def test_it_does_not_touch_the_workshop_that_is_there(home: Path) -> None:
    run("boards", "new", "PIPIT")
    before = default_place().read_bytes()
    run("demo", "--no-screen")
    assert default_place().read_bytes() == before
    assert default_place() != demo_place()
    assert run("boards").stdout.startswith("PIPIT, 1 unit")


def test_it_is_made_once_and_kept_as_it_was_left(home: Path) -> None:
    first = json.loads(run("demo", "--no-screen", "--json").stdout)
    run("stores", "--db", str(demo_place()), "new-part", "X-1")
    again = json.loads(run("demo", "--no-screen", "--json").stdout)
    assert again["parts"] == first["parts"] + 1


def test_it_goes_where_an_empty_file_is_named(tmp_path: Path) -> None:
    for name in ("absent.db", "empty.db"):
        file = tmp_path / name
        if name == "empty.db":
            file.touch()
        result = run("demo", "--no-screen", "--db", str(file))
        assert SENTENCE.fullmatch(result.stdout.splitlines()[0])
        assert not demo_place().exists()


def test_it_goes_into_a_workshop_in_which_nothing_was_done(tmp_path: Path, template: Path) -> None:
    file = tmp_path / "fresh.db"
    shutil.copyfile(template, file)
    assert SENTENCE.fullmatch(run("demo", "--no-screen", "--db", str(file)).stdout.splitlines()[0])


def test_it_refuses_a_file_that_holds_something_else(tmp_path: Path) -> None:
    own = tmp_path / "own.db"
    run("boards", "new", "PIPIT", "--db", str(own))
    before = own.read_bytes()
    result = run("demo", "--no-screen", "--db", str(own))
    assert result.exit_code == 3
    assert result.stderr == (
        f"The demo was not put into {own}. That is a workshop of your own. Name an empty file with --db, or none.\n"
    )
    assert own.read_bytes() == before
    letter = tmp_path / "letter.txt"
    letter.write_text("Dear Quayside Spares, " * 100)
    refused = run("demo", "--no-screen", "--db", str(letter))
    assert refused.exit_code == 4
    assert letter.read_text() == "Dear Quayside Spares, " * 100


def test_it_answers_as_json_too(home: Path) -> None:
    told = json.loads(run("demo", "--no-screen", "--json").stdout)
    assert SENTENCE.fullmatch(told["sentence"])
    assert told["schema"] == "buildbook.overview/1"


def test_a_demo_that_fails_halfway_leaves_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.undo()
    monkeypatch.setenv("HOME", str(tmp_path))

    def fails(shop: object) -> None:
        raise OSError("the lists are gone")

    monkeypatch.setattr(demo, "builder", lambda: fails)
    file = tmp_path / "demo.db"
    with pytest.raises(OSError, match="the lists are gone"):
        demo.make_demo(file)
    assert not [name for name in os.listdir(tmp_path) if name.startswith("demo.db")]


def test_the_demo_is_sound(at_demo: Path, say: Say) -> None:
    assert say("workshop", "check").stdout.startswith("The workshop is sound")

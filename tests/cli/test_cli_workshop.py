"""The workshop's own verbs on the command line, and the demo."""

from __future__ import annotations

import json
import re
import sqlite3
from collections.abc import Callable
from pathlib import Path

import pytest
from typer.testing import Result

from buildbook.actions import boards
from buildbook.actions.workshop import Workshop, demo_place
from buildbook.cli import demo

Say = Callable[..., Result]


def test_the_overview_tells_builds_drawers_and_what_was_done_last(say: Say, curlew: Workshop) -> None:
    lines = say().stdout.splitlines()
    assert lines[0] == "1 build planned or under way, 2 steps ready, 1 question open, 1 part in no bins."
    row = next(line for line in lines if line.startswith("CURLEW"))
    assert "Curlew receiver" in row
    assert "2026-12-24" in row
    assert "0 of 4" in row
    assert re.fullmatch(r"Last done, 2024-03-01 \d\d:\d\d: .*C-22U.*", lines[-1])
    assert say("workshop").stdout.splitlines() == lines


def test_a_sound_file_is_told_proof_by_proof(say: Say, curlew: Workshop) -> None:
    lines = say("workshop", "check").stdout.splitlines()
    assert re.fullmatch(r"The workshop is sound: all \d+ proofs hold\.", lines[0])
    assert len([line for line in lines if " holds " in line]) == int(lines[0].split()[5])


def test_a_damaged_file_ends_with_4_and_names_the_fault(say: Say, curlew: Workshop) -> None:
    curlew.close()
    with sqlite3.connect(curlew.path) as file:
        file.execute("UPDATE project SET name = 'Overwritten behind the journal'")
    file.close()
    result = say("workshop", "check", code=4)
    assert result.stdout.splitlines()[0].startswith("The workshop is damaged: 1 of ")
    assert "FAILS" in result.stdout
    assert "row 1 of project" in result.stdout
    assert "restore" in result.stdout.splitlines()[-1]
    told = json.loads(say("workshop", "check", "--json", code=4).stdout)
    assert told["holds"] is False


def test_a_backup_lies_beside_the_workshop_with_the_day(say: Say, curlew: Workshop) -> None:
    first = say("workshop", "backup").stdout
    second = say("workshop", "backup").stdout
    names = sorted(path.name for path in curlew.path.parent.glob("workshop-*.db"))
    assert len(names) == 2
    assert re.fullmatch(r"workshop-\d{4}-\d\d-\d\d(-2)?\.db", names[0])
    assert names[0] in second or names[0] in first
    assert "kB" in first


def test_a_backup_goes_where_it_is_told_and_replaces_nothing(say: Say, curlew: Workshop, tmp_path: Path) -> None:
    place = tmp_path / "kept.db"
    assert str(place) in say("workshop", "backup", str(place)).stdout
    assert "exists" in say("workshop", "backup", str(place), code=2).stderr


def test_a_backup_is_put_back_and_what_was_there_is_kept(say: Say, curlew: Workshop, tmp_path: Path) -> None:
    say("workshop", "backup", str(tmp_path / "kept.db"))
    curlew.close()
    boards.change_project(curlew, "CURLEW", name="Renamed")
    curlew.close()
    result = say("workshop", "restore", str(tmp_path / "kept.db"))
    assert "Curlew receiver" in say().stdout
    kept = re.search(r"is in (.*)\.$", result.stdout.strip())
    assert kept
    assert "Renamed" in say(db=Path(kept[1])).stdout


def test_a_workshop_too_damaged_to_be_opened_is_replaced(say: Say, curlew: Workshop, tmp_path: Path) -> None:
    say("workshop", "backup", str(tmp_path / "kept.db"))
    curlew.close()
    damaged = curlew.path.read_bytes()[:20_000]
    curlew.path.write_bytes(damaged)
    assert "`buildbook workshop restore`" in say("workshop", code=4).stderr
    kept = re.search(r"is in (.*)\.$", say("workshop", "restore", str(tmp_path / "kept.db")).stdout.strip())
    assert kept
    assert len(Path(kept[1]).read_bytes()) == len(damaged)
    assert "Curlew receiver" in say().stdout


def test_a_backup_can_be_the_first_workshop(say: Say, curlew: Workshop, tmp_path: Path) -> None:
    say("workshop", "backup", str(tmp_path / "kept.db"))
    new = tmp_path / "new" / "workshop.db"
    assert say("workshop", "restore", str(tmp_path / "kept.db"), db=new).stdout.endswith("is now the workshop.\n")
    assert "Curlew receiver" in say(db=new).stdout


def test_restoring_nothing_makes_nothing(say: Say, tmp_path: Path) -> None:
    assert "no such file" in say("workshop", "restore", str(tmp_path / "none.db"), code=2).stderr
    assert list(tmp_path.glob("*.db")) == []


def test_undo_and_redo_say_what(say: Say, curlew: Workshop) -> None:
    assert "C-22U" in say("workshop", "undo").stdout
    assert "no parts" in say().stdout
    assert say("workshop", "redo").stdout.startswith("Done again: ")
    assert "nothing to redo" in say("workshop", "redo", code=3).stderr


def test_settings_are_listed_and_set(say: Say, shop: Workshop) -> None:
    assert say("workshop", "settings").stdout.splitlines()[0] == "12 settings: labour_rate is not set."
    set_one = say("workshop", "settings", "currency", "eur").stdout
    assert set_one.splitlines()[0] == "12 settings: labour_rate is not set."
    assert "EUR" in set_one
    say("workshop", "settings", "labour_rate", "12.50")
    told = say("workshop", "settings").stdout
    assert told.splitlines()[0] == "12 settings: all are set."
    assert "12.50 EUR" in told
    rows = {row["key"]: row["value"] for row in json.loads(say("workshop", "settings", "--json").stdout)["rows"]}
    assert (rows["currency"], rows["labour_rate"], rows["fuse_window"]) == ("EUR", "12500000", "1.5 to 2")


def test_how_much_of_a_rating_is_used_is_a_setting(say: Say, shop: Workshop) -> None:
    rows = {row["key"]: row for row in json.loads(say("workshop", "settings", "--json").stdout)["rows"]}
    assert rows["derating_electrolytic"]["value"] == "80 %"
    assert "aluminium" in rows["derating_electrolytic"]["meaning"]
    assert "70 %" in say("workshop", "settings", "derating-electrolytic", "70").stdout
    assert "at most 100 %" in say("workshop", "settings", "derating_resistor", "0", code=2).stderr


def test_wrong_settings_are_told(say: Say, shop: Workshop) -> None:
    assert "currency" in say("workshop", "settings", "colour", "red", code=2).stderr
    assert "No value" in say("workshop", "settings", "currency", code=2).stderr
    assert say("workshop", "settings", "currency", "euros", code=2).stderr


@pytest.fixture
def small_demo(monkeypatch: pytest.MonkeyPatch) -> None:
    """A demo of one project in place of the real one."""

    def build(shop: Workshop) -> None:
        boards.new_project(shop, "CURLEW", "Curlew receiver")

    monkeypatch.setattr(demo, "builder", lambda: build)


@pytest.mark.usefixtures("small_demo")
def test_the_demo_lies_in_a_place_of_its_own(say: Say, monkeypatch: pytest.MonkeyPatch) -> None:
    from typer.testing import CliRunner

    from buildbook.cli.main import app

    monkeypatch.delenv("BUILDBOOK_DB", raising=False)
    first = CliRunner().invoke(app, ["demo", "--no-screen"])
    assert first.exit_code == 0, first.output
    assert "Curlew receiver" in first.stdout
    assert str(demo_place()) in first.stdout
    assert [path.name for path in demo_place().parent.iterdir()] == ["demo.db"]
    made = demo_place().stat().st_mtime_ns
    again = CliRunner().invoke(app, ["demo", "--no-screen"])
    assert again.stdout == first.stdout
    assert demo_place().stat().st_mtime_ns == made


@pytest.mark.usefixtures("small_demo")
def test_the_demo_fills_an_empty_file_and_no_other(say: Say, shop: Workshop, tmp_path: Path) -> None:
    assert "Curlew receiver" in say("demo").stdout
    assert "Curlew receiver" in say("demo", db=tmp_path / "new.db").stdout
    assert "Curlew receiver" in say("demo", db=tmp_path / "new.db").stdout


@pytest.mark.usefixtures("small_demo")
def test_the_demo_leaves_your_own_workshop_alone(say: Say, curlew: Workshop) -> None:
    before = curlew.path.read_bytes()
    assert "of your own" in say("demo", code=3).stderr
    assert curlew.path.read_bytes() == before


def test_a_demo_that_fails_leaves_nothing(say: Say, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def build(shop: Workshop) -> None:
        boards.new_project(shop, "CURLEW", "Curlew receiver")
        boards.new_project(shop, "CURLEW", "Curlew receiver")

    monkeypatch.setattr(demo, "builder", lambda: build)
    say("demo", db=tmp_path / "new.db", code=2)
    assert list(tmp_path.glob("new.db*")) == []


def test_an_index_of_words_that_is_not_right_is_made_anew(say: Say, curlew: Workshop) -> None:
    db = sqlite3.connect(curlew.path)
    db.execute("DELETE FROM said")
    db.commit()
    db.close()
    assert "workshop check --rebuild" in say("workshop", "check", code=4).stdout
    assert "sound" in say("workshop", "check", "--rebuild").stdout
    assert say("log", "search", "curlew").stdout.startswith("“curlew” stands in 5 actions")

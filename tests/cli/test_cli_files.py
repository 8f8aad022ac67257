"""Photos and files on the command line."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from typer.testing import Result

from buildbook.actions.workshop import Workshop
from buildbook.cli.demo import make_demo
from buildbook.store.files import folder_of, lying

Say = Callable[..., Result]


@pytest.fixture
def photo(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> str:
    """A text file beside which one stands."""
    folder = tmp_path / "bench"
    folder.mkdir()
    monkeypatch.chdir(folder)
    Path("holes.txt").write_text("3.2 mm\n")
    return "holes.txt"


def test_attached_listed_taken_out_and_taken_off(say: Say, curlew: Workshop, photo: str) -> None:
    said = say("log", "attach", photo, "--assembly", "CASE", "--caption", "Drilled so").stdout
    assert said == "Attached, number 1, to CURLEW/CASE: holes.txt: Drilled so (text, 7 bytes).\n"
    lines = say("log", "attached").stdout.splitlines()
    assert lines[0] == "1 file attached, 7 bytes."
    assert lines[2].split() == ["number", "when", "file", "kind", "size", "build", "about", "caption"]
    assert say("log", "take-out", "1", "--out", "again.txt").stdout == "Written to again.txt.\n"
    assert Path("again.txt").read_text() == "3.2 mm\n"
    assert "again.txt exists" in say("log", "take-out", "1", "--out", "again.txt", code=2).stderr
    assert "Captioned, number 1" in say("log", "caption", "1", "All three").stdout
    assert say("log", "detach", "1").stdout.startswith("Detached: holes.txt.")
    assert say("log", "attached").stdout == "Nothing is attached.\n"
    say("workshop", "undo")
    row = json.loads(say("log", "attached", "--json").stdout)["rows"][0]
    assert (row["build"], row["kind"], row["caption"], row["media"]) == (
        "CURLEW",
        "assembly",
        "All three",
        "text/plain",
    )


@pytest.mark.parametrize(
    ("words", "about"),
    [
        ((), "CURLEW"),
        (("--step", "CASE/2"), "CURLEW/CASE, Mask the earth patch"),
        (("--part", "C-22U"), "C-22U"),
        (("--snag", "1"), "snag 1: The blade wandered"),
        (("--episode", "1"), "episode 1: Metalwork"),
        (("--note", "1"), "note: Bent again"),
        (("--build", "curlew"), "CURLEW"),
    ],
)
def test_what_it_is_about(say: Say, curlew: Workshop, photo: str, words: tuple[str, ...], about: str) -> None:
    say("log", "episode", "start", "Metalwork")
    say("log", "snag", "The blade wandered")
    say("log", "note", "Bent again")
    answer = json.loads(say("log", "attach", photo, *words, "--json").stdout)
    assert answer["schema"] == "buildbook.attachments/1"
    assert answer["rows"][0]["about"] == about
    assert answer["rows"][0]["build"] == ("" if "--part" in words else "CURLEW")


def test_the_last_reading_of_a_point(say: Say, at_demo: Any, photo: str) -> None:
    said = json.loads(say("checks", "--json", "--build", "CURLEW").stdout)["points"]
    point = next(row for row in said if row["reading"])
    row = json.loads(say("log", "attach", photo, "--point", point["point"], "--build", "CURLEW", "--json").stdout)
    assert row["rows"][0]["kind"] == "reading"
    assert row["rows"][0]["about"].startswith(point["point"])
    unread = next(row for row in said if not row["reading"])
    assert "no reading yet" in say("log", "attach", photo, "--point", unread["point"], code=2).stderr


def test_what_cannot_be_attached_is_told(say: Say, curlew: Workshop, photo: str) -> None:
    assert "There is no such file" in say("log", "attach", "none.jpg", code=2).stderr
    assert "It is a folder" in say("log", "attach", ".", code=2).stderr
    assert "several things" in say("log", "attach", photo, "--step", "CASE/2", "--part", "C-22U", code=2).stderr
    assert "It is the workshop itself" in say("log", "attach", str(curlew.path), code=2).stderr
    assert say("log", "attached").stdout == "Nothing is attached.\n"


def test_check_proves_the_files_names_strays_and_tidies(say: Say, curlew: Workshop, photo: str) -> None:
    say("log", "attach", photo)
    Path(photo).write_text("others")
    say("log", "attach", photo)
    say("log", "detach", "1")
    checked = " ".join(say("workshop", "check").stdout.split())
    assert "1 attachment, 1 file with the content that was attached. Attached to nothing:" in checked
    tidied = say("workshop", "check", "--tidy").stdout
    assert tidied.startswith("Removed 1 file to which nothing was attached, 7 bytes.")
    assert "Attached to nothing" not in tidied
    assert say("workshop", "check", "--tidy").stdout.startswith("There was nothing to tidy.")
    next(lying(curlew.path)).unlink()
    failed = say("workshop", "check", code=4).stdout
    assert "attachment 2 (holes.txt) is missing" in " ".join(failed.split())
    # And everything else goes on.
    assert "The file is missing." in " ".join(say("log", "attached").stdout.split())
    assert say("log", "note", "Find the photo").stdout == "Written down.\n"
    assert "The file is missing" in say("log", "take-out", "2", "--out", "x", code=4).stderr


def test_a_backup_brings_the_files_along(say: Say, curlew: Workshop, photo: str, tmp_path: Path) -> None:
    say("log", "attach", photo)
    say("workshop", "backup", "kept.db")
    assert say("log", "take-out", "1", "--out", "from-backup.txt", db=Path("kept.db"))
    say("workshop", "restore", "kept.db", db=tmp_path / "new.db")
    assert "1 file attached" in say("log", "attached", db=tmp_path / "new.db").stdout
    assert say("workshop", "check", db=tmp_path / "new.db")


def test_the_demo_brings_three_small_sketches(say: Say, at_demo: Any) -> None:
    answer = json.loads(say("log", "attached", "--json").stdout)
    assert answer["sentence"].startswith("3 pictures attached")
    assert {row["media"] for row in answer["rows"]} == {"image/svg+xml"}
    assert sum(row["size"] for row in answer["rows"]) < 10_000
    assert all(row["caption"] and not row["fault"] for row in answer["rows"])
    assert say("workshop", "check")


def test_making_the_demo_leaves_no_folder_of_its_passing_name(demo_file: Path) -> None:
    assert sorted(path.name for path in demo_file.parent.iterdir() if path.is_dir()) == ["demo.db.files"]
    assert len([*lying(demo_file)]) == 3


def test_a_demo_that_could_not_be_made_leaves_no_files(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    from buildbook.actions.attachments import Of, attach
    from buildbook.cli import demo

    def broken(shop: Workshop) -> None:
        from buildbook.actions import boards

        boards.new_project(shop, "CURLEW")
        (tmp_path / "one").write_text("a sketch")
        attach(shop, tmp_path / "one", Of(build="CURLEW"))
        raise KeyboardInterrupt

    monkeypatch.setattr(demo, "builder", lambda: broken)
    path = tmp_path / "demo" / "demo.db"
    path.parent.mkdir()
    with pytest.raises(KeyboardInterrupt):
        make_demo(path, silent=True)
    assert [one.name for one in path.parent.iterdir()] == []
    assert not folder_of(path).exists()

"""The frame of the command line: places, options said before or after the verb, errors, and the ways on."""

from __future__ import annotations

import os
import sqlite3
import subprocess
import sys
from pathlib import Path

import pytest
import typer
from typer.testing import CliRunner, Result

from buildbook import __version__
from buildbook.answers.workshop import codes
from buildbook.cli import frame
from buildbook.cli.frame import Db, opened, place
from buildbook.cli.main import PLACES, app
from buildbook.errors import BadInput, Forbidden, StoreFault
from buildbook.store.journal import action
from buildbook.store.tables import Assembly, Build, Choice, Part, Project
from buildbook.store.workshop import Workshop


def say(*words: str, env: dict[str, str] | None = None) -> Result:
    return CliRunner().invoke(app, list(words), env=env)


@pytest.fixture
def trouble(monkeypatch: pytest.MonkeyPatch) -> dict[str, BaseException]:
    """A place that raises what the test puts under "error"."""
    kept: dict[str, BaseException] = {}
    group = place("What goes wrong?")

    @group.callback(invoke_without_command=True)
    def fail(*, db: Db = None) -> None:
        """Fail."""
        raise kept["error"]

    module = type(sys)("buildbook.cli.trouble")
    module.app = group  # type: ignore[attr-defined]
    monkeypatch.setitem(sys.modules, "buildbook.cli.trouble", module)
    monkeypatch.setitem(PLACES, "trouble", "What goes wrong?")
    return kept


def test_the_version_is_said() -> None:
    assert say("--version").stdout == f"buildbook {__version__}\n"


def test_help_names_every_place_with_its_question() -> None:
    out = say("--help").stdout
    for name, question in PLACES.items():
        assert f"  {name}" in out
        assert question.split(",")[0] in out


def test_without_a_workshop_there_are_three_ways_on_and_no_file(home: Path) -> None:
    result = say()
    assert result.exit_code == 0
    for way in ("buildbook demo", "buildbook boards import", "buildbook boards new"):
        assert way in result.stdout
    assert not home.exists() or not [path for path in home.rglob("*") if path.is_file()]


@pytest.mark.parametrize("words", [["bench"], ["log"], ["checks"], ["workshop"], ["workshop", "undo"], ["log", "show"]])
def test_a_reader_never_makes_a_workshop(words: list[str], tmp_path: Path) -> None:
    missing = tmp_path / "nothing.db"
    result = say(*words, "--db", str(missing))
    assert result.exit_code == 2
    assert result.stdout == ""
    assert f"There is no workshop at {missing} yet." in result.stderr
    assert "buildbook demo" in result.stderr
    assert not missing.exists()


def test_damage_met_while_reading_is_a_sentence(shop: Workshop) -> None:
    shop.close()
    db = sqlite3.connect(shop.path)
    with db:
        db.execute("DROP TABLE step_run")
    db.close()
    result = say("bench", "--db", str(shop.path))
    assert result.exit_code == StoreFault.exit_code
    assert "Tables are missing from it. Restore the last backup with `buildbook workshop restore`." in result.stderr


def test_a_pipe_or_a_device_is_not_an_empty_workshop(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe")
    for path in (str(tmp_path / "pipe"), os.devnull):
        for words in (["bench"], ["boards", "new", "HERON"]):
            result = say(*words, "--db", path)
            assert result.exit_code == StoreFault.exit_code
            assert "It is a pipe or a device." in result.stderr


def test_an_empty_file_is_no_workshop_yet(tmp_path: Path) -> None:
    empty = tmp_path / "empty.db"
    empty.touch()
    assert say("--db", str(empty)).exit_code == 0
    assert say("bench", "--db", str(empty)).exit_code == 2
    assert empty.stat().st_size == 0


def test_an_empty_workshop_gives_the_ways_on_too(shop: Workshop) -> None:
    result = say("--db", str(shop.path))
    assert result.stdout.startswith("The workshop is empty.")
    assert "buildbook demo" in result.stdout


@pytest.mark.parametrize(
    ("error", "code"),
    [
        (BadInput("No.", "Why.", "Mend."), 2),
        (Forbidden("No.", "Why.", "Mend."), 3),
        (StoreFault("No.", "Why.", "Mend."), 4),
    ],
)
def test_an_error_is_its_sentences_and_its_code(trouble: dict[str, BaseException], error: Exception, code: int) -> None:
    trouble["error"] = error
    result = say("trouble")
    assert (result.exit_code, result.stdout, result.stderr) == (code, "", "No. Why. Mend.\n")


def test_an_error_cannot_move_the_cursor(trouble: dict[str, BaseException]) -> None:
    trouble["error"] = BadInput("There is no part \x1b[2J\x9b\u202e.")
    assert say("trouble").stderr == "There is no part [2J.\n"


def test_debug_shows_the_traceback(trouble: dict[str, BaseException]) -> None:
    trouble["error"] = BadInput("No.")
    result = say("--debug", "trouble")
    assert isinstance(result.exception, BadInput)


def test_a_mistake_of_ours_is_one_sentence_and_a_log(trouble: dict[str, BaseException], home: Path) -> None:
    trouble["error"] = ZeroDivisionError("deep inside")
    result = say("trouble")
    assert result.exit_code == 1
    assert len(result.stderr.splitlines()) == 1
    assert "Traceback" not in result.stderr
    (log,) = home.rglob("buildbook.log")
    assert str(log) in result.stderr
    assert "deep inside" in log.read_text()
    assert "Traceback" in log.read_text()
    assert isinstance(say("--debug", "trouble").exception, ZeroDivisionError)


def test_a_log_does_not_grow_for_ever(trouble: dict[str, BaseException], home: Path) -> None:
    trouble["error"] = ZeroDivisionError("first")
    say("trouble")
    (log,) = home.rglob("buildbook.log")
    before = log.stat().st_size
    say("trouble")
    assert log.stat().st_size > 2 * before - 10
    log.write_bytes(b"x" * 1_000_001)
    say("trouble")
    assert log.stat().st_size < 1_000_000
    assert "first" in log.read_text()


def test_a_log_that_cannot_be_written_hides_nothing(trouble: dict[str, BaseException], home: Path) -> None:
    home.write_text("a file where a folder should be")
    trouble["error"] = ZeroDivisionError("deep inside")
    result = say("trouble")
    assert result.exit_code == 1
    assert "ZeroDivisionError" in result.stderr
    assert "--debug" in result.stderr


def test_an_interrupt_ends_with_130(trouble: dict[str, BaseException]) -> None:
    trouble["error"] = KeyboardInterrupt()
    assert say("trouble").exit_code == 130


@pytest.mark.parametrize("words", [["--no-such"], ["no-such-place"], ["bench", "--no-such"], ["log", "note"]])
def test_wrong_usage_ends_with_2(words: list[str]) -> None:
    result = say(*words)
    assert result.exit_code == 2
    assert "Usage:" in result.stderr
    assert "Traceback" not in result.stderr


@pytest.fixture
def met(monkeypatch: pytest.MonkeyPatch) -> list[Path | None]:
    """What a verb in a place gets as --db."""
    kept: list[Path | None] = []
    group = place("Which file?")

    @group.callback(invoke_without_command=True)
    def outer(ctx: typer.Context, *, db: Db = None) -> None:
        """Say it."""

    @group.command()
    def which(*, db: Db = None) -> None:
        """Say it."""
        kept.append(db)

    module = type(sys)("buildbook.cli.which")
    module.app = group  # type: ignore[attr-defined]
    monkeypatch.setitem(sys.modules, "buildbook.cli.which", module)
    monkeypatch.setitem(PLACES, "which", "Which file?")
    return kept


@pytest.mark.parametrize(
    ("words", "env", "path"),
    [
        (["which", "which", "--db", "a.db"], {}, "a.db"),
        (["which", "--db", "a.db", "which"], {}, "a.db"),
        (["--db", "a.db", "which", "which"], {}, "a.db"),
        (["--db", "a.db", "which", "--db", "b.db", "which"], {}, "b.db"),
        (["which", "which"], {"BUILDBOOK_DB": "e.db"}, "e.db"),
        (["--db", "a.db", "which", "which"], {"BUILDBOOK_DB": "e.db"}, "a.db"),
        (["which", "which"], {}, None),
    ],
)
def test_the_nearest_word_about_the_file_counts(
    met: list[Path | None], words: list[str], env: dict[str, str], path: str | None
) -> None:
    assert say(*words, env=env).exit_code == 0
    assert met == [Path(path) if path else None]


def test_opened_makes_a_workshop_only_when_told(tmp_path: Path) -> None:
    path = tmp_path / "deep" / "new.db"
    with pytest.raises(BadInput, match="no workshop"), opened(path):
        pass
    with opened(path, create=True) as made:
        assert made.path == path
    with opened(path) as again:
        assert codes(again, "build", "") == []


def test_something_else_than_a_workshop_is_a_store_fault(tmp_path: Path) -> None:
    other = tmp_path / "notes.txt"
    other.write_text("Not a database at all.")
    result = say("bench", "--db", str(other))
    assert result.exit_code == 4
    assert "not a workshop" in result.stderr


@pytest.fixture
def stocked(shop: Workshop) -> Workshop:
    with action(shop, "Lay out") as work:
        curlew = Project(code="CURLEW", name="Curlew receiver")
        work.add(curlew)
        work.flush()
        assert curlew.id
        board = Assembly(project_id=curlew.id, code="IF", name="IF board")
        work.add(board)
        work.add(Choice(project_id=curlew.id, code="RECT", question="Valve or silicon?"))
        work.add(Part(key="C-22U", name="Smoothing capacitor"))
        work.flush()
        assert board.id
        work.add(Build(code="CURLEW-1", project_id=curlew.id, assembly_id=board.id))
    return shop


def test_codes_complete_from_the_workshop(stocked: Workshop) -> None:
    assert codes(stocked, "build", "CUR") == [("CURLEW-1", "Curlew receiver")]
    assert codes(stocked, "build", "X") == []
    assert codes(stocked, "assembly", "CURLEW/") == [("CURLEW/IF", "IF board")]
    assert codes(stocked, "assembly", "I") == [("IF", "IF board")]
    assert codes(stocked, "choice", "") == [("CURLEW/RECT", "Valve or silicon?"), ("RECT", "Valve or silicon?")]
    assert codes(stocked, "part", "c-2") == [("c-22u", "Smoothing capacitor")]


def complete(line: str, path: Path) -> subprocess.CompletedProcess[str]:
    words = line.split(" ")
    env = {
        **os.environ,
        "_BUILDBOOK_COMPLETE": "complete_bash",
        "COMP_WORDS": line,
        "COMP_CWORD": str(len(words) - 1),
        "BUILDBOOK_DB": str(path),
    }
    code = "import sys; sys.argv[0] = 'buildbook'; from buildbook.cli.begin import run; run()"
    return subprocess.run([sys.executable, "-c", code], env=env, capture_output=True, text=True, check=False)


@pytest.mark.process
def test_the_shell_completes_codes_and_stays_silent_without_a_workshop(stocked: Workshop, tmp_path: Path) -> None:
    stocked.close()
    assert complete("buildbook bench --build CU", stocked.path).stdout.split() == ["CURLEW-1"]
    assert complete("buildbook ben", stocked.path).stdout.split() == ["bench"]
    silent = complete("buildbook bench --build CU", tmp_path / "none.db")
    assert (silent.stdout.strip(), silent.stderr) == ("", "")


@pytest.mark.process
def test_a_reader_that_goes_away_is_no_error(shop: Workshop) -> None:
    with action(shop, "Write") as work:
        work.add(Project(code="CURLEW", name="Curlew receiver"))
    shop.close()
    program = f"{sys.executable} -m buildbook workshop --db {shop.path} | exec true"
    result = subprocess.run(["bash", "-c", program], capture_output=True, text=True, check=False)
    assert result.stderr == ""


@pytest.mark.process
def test_a_terminal_without_the_sign_still_gets_the_answer(shop: Workshop) -> None:
    with action(shop, "Write down 4.7 kΩ") as work:
        work.add(Project(code="CURLEW", name="Curlew"))
    shop.close()
    env = {**os.environ, "PYTHONIOENCODING": "latin-1"}
    program = [sys.executable, "-m", "buildbook", "log", "--db", str(shop.path)]
    result = subprocess.run(program, env=env, capture_output=True, text=True, check=True)
    assert "Write down 4.7 k\\u03a9" in result.stdout


def test_the_ways_on_are_named_once() -> None:
    assert len(frame.ways_on().splitlines()) == len(frame.WAYS_ON) == 3

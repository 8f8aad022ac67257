"""The README says what is so: its two commands are those that CI runs, and every command it shows exists."""

from __future__ import annotations

import re
import shlex
from pathlib import Path

import pytest
from typer.main import get_command
from typer.testing import CliRunner

from buildbook.cli.main import app

ROOT = Path(__file__).resolve().parent.parent
README = (ROOT / "README.md").read_text(encoding="utf-8")
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")


def commands_of(text: str) -> set[tuple[str, ...]]:
    """The words after `buildbook` in code of a Markdown text, up to the first that is no word."""
    shown = re.findall(r"(?:^|[`/ ])buildbook((?: [a-z][a-z-]*)+)", text, re.MULTILINE)
    return {tuple(words.split()) for words in shown}


def test_the_two_commands_are_those_that_ci_runs() -> None:
    setups = [line for line in README.splitlines() if line.startswith("python3 -m venv")]
    run = (ROOT / ".ci" / "run").read_text(encoding="utf-8").splitlines()
    assert len(setups) == 2
    assert all(line in run for line in setups)


@pytest.mark.parametrize("words", sorted(commands_of(README) | commands_of(DEVELOPERS)), ids=" ".join)
def test_every_command_shown_exists(words: tuple[str, ...]) -> None:
    from typer import Context

    group = get_command(app)
    context = Context(group)
    for depth, word in enumerate(words[:2]):
        names = set(group.list_commands(context)) if hasattr(group, "list_commands") else set()
        if depth and not names:
            return
        assert word in names, f"`buildbook {' '.join(words)}` is shown, but there is no {word}"
        group = group.get_command(context, word)  # type: ignore[attr-defined]


def test_no_path_of_a_machine_and_no_registry_stands_in_what_is_kept() -> None:
    kept = [path for path in ROOT.glob("*.*") if path.is_file()] + [ROOT / ".ci" / "run"]
    texts = "\n".join(path.read_text(encoding="utf-8") for path in kept if path.suffix in (".md", ".toml", ".txt", ""))
    assert not re.search(r"/(root|work|home)/|https?://[^\s)]*(pypi|index)", texts)


def shown() -> list[tuple[str, str]]:
    """Every command that the README shows with what it prints."""
    blocks = re.findall(r"^```\n(.*?)^```", README, re.MULTILINE | re.DOTALL)
    pieces = [piece for block in blocks for piece in re.split(r"^\$ buildbook ", block, flags=re.MULTILINE)[1:]]
    return [(piece.partition("\n")[0], piece.partition("\n")[2].strip()) for piece in pieces]


@pytest.mark.parametrize(("command", "printed"), shown(), ids=[command for command, _ in shown()])
def test_what_is_shown_is_what_the_demo_prints(command: str, printed: str, demo_file: Path) -> None:
    said = CliRunner().invoke(app, ["--db", str(demo_file), *shlex.split(command)])
    assert said.exit_code == 0
    assert said.stdout.strip() == printed

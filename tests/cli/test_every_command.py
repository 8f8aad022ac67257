"""Every command, wherever it stands in the tree, is documented, can be tried, and takes what all take."""

from __future__ import annotations

import inspect
import json
import shlex
from collections.abc import Callable, Iterator
from typing import Any

import pytest
from typer.main import get_command
from typer.testing import Result

from buildbook.actions.workshop import Workshop
from buildbook.cli.main import PLACES, app

# Of the other places, some verbs start a workshop.
FRAME = ("bench", "checks", "log", "workshop", "demo")


def walk(command: Any, words: tuple[str, ...] = ()) -> Iterator[tuple[str, Any]]:
    """Every command of the tree with its words; a group counts when it answers by itself."""
    if not hasattr(command, "list_commands"):
        yield " ".join(words), command
        return
    if command.invoke_without_command:
        yield " ".join(words), command
    for name in command.list_commands(None):
        yield from walk(command.get_command(None, name), (*words, name))


EVERY = dict(walk(get_command(app)))


def writes(command: Any) -> bool:
    """Whether the verb calls an action or writes a file: what does so is imported inside it."""
    source = inspect.getsource(inspect.unwrap(command.callback))
    return "buildbook.actions" in source or "buildbook.exchange" in source


def options(command: Any) -> set[str]:
    return {option for param in command.params for option in param.opts}


def test_the_tree_is_there() -> None:
    assert {"bench", "checks", "log search"} <= {words for words in EVERY if not writes(EVERY[words])}
    assert {"bench start", "log note"} <= {words for words in EVERY if writes(EVERY[words])}
    assert "" in EVERY
    assert "log episode start" in EVERY
    assert {name.split()[0] for name in EVERY if name} >= {*FRAME}
    assert set(PLACES) <= set(get_command(app).list_commands(None))  # type: ignore[attr-defined]


@pytest.mark.parametrize("words", EVERY)
def test_it_says_what_it_does_and_gives_an_example(words: str) -> None:
    text = EVERY[words].help or ""
    first = text.split("\n\n")[0]
    assert first.endswith("."), f"{words}: no sentence"
    assert "Example:\n  buildbook" in text, f"{words}: no example"
    example = text.split("Example:\n")[1].strip().splitlines()[0]
    said = shlex.split(example)
    assert said[0] == "buildbook"
    assert said[1 : 1 + len(words.split())] == words.split()


@pytest.mark.parametrize("words", EVERY)
def test_every_option_of_its_example_exists(words: str) -> None:
    example = (EVERY[words].help or "").split("Example:\n")[1].strip().splitlines()[0]
    used = {word for word in shlex.split(example) if word.startswith("--")}
    assert used <= options(EVERY[words])


@pytest.mark.parametrize("words", EVERY)
def test_it_takes_the_workshop_file(words: str) -> None:
    assert "--db" in options(EVERY[words])


@pytest.mark.parametrize("words", [words for words in EVERY if not writes(EVERY[words])])
def test_an_answer_takes_json(words: str) -> None:
    assert "--json" in options(EVERY[words])


@pytest.mark.parametrize("words", EVERY)
def test_its_help_can_be_read(words: str, say: Callable[..., Result]) -> None:
    result = say(*words.split(), "--help")
    assert "Usage:" in result.stdout
    assert "\b" not in result.stdout


@pytest.mark.parametrize("words", EVERY)
def test_every_option_says_what_it_is(words: str) -> None:
    for param in EVERY[words].params:
        assert param.help, f"{words} {param.opts}"


# Some take a file in, some want something undone or in hand, two make or merge what the demo has under one name.
WANT_MORE = {"bench pause", "workshop restore", "workshop redo", "buying supplier", "stores merge", "log attach"}
ON_THE_DEMO = [words for words in EVERY if words not in WANT_MORE | {"", "demo"} and "import" not in words]


@pytest.mark.parametrize("words", ON_THE_DEMO)
def test_its_examples_can_be_run_on_the_demo(
    words: str, say: Callable[..., Result], at_demo: Any, tmp_path: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    for example in (EVERY[words].help or "").split("Example:\n")[1].split("\n\n")[0].strip().splitlines():
        say(*shlex.split(example)[1:])


# One makes the file, one may be told to start from a backup, one asks nothing of it.
NEED_NO_WORKSHOP = {"demo", "workshop restore", "checks value", "checks switch"}
OWN = [words for words in EVERY if words.split()[:1] and words.split()[0] in FRAME]


@pytest.mark.parametrize("words", sorted(set(OWN) - NEED_NO_WORKSHOP))
def test_without_a_workshop_it_ends_with_2_and_no_file(words: str, say: Callable[..., Result], tmp_path: Any) -> None:
    example = (EVERY[words].help or "").split("Example:\n")[1].strip().splitlines()[0]
    result = say(*shlex.split(example)[1:], code=2)
    assert "There is no workshop" in result.stderr
    assert not (tmp_path / "workshop.db").exists()


@pytest.mark.parametrize(
    "words",
    [
        [],
        ["bench"],
        ["checks"],
        ["log"],
        ["log", "search", "case"],
        ["workshop"],
        ["workshop", "check"],
        ["workshop", "settings"],
    ],
)
def test_the_sentence_is_the_first_line_and_the_first_field(
    words: list[str], say: Callable[..., Result], curlew: Workshop
) -> None:
    plain = say(*words).stdout.splitlines()[0]
    told = json.loads(say(*words, "--json").stdout)
    assert next(iter(told)) == "sentence"
    assert told["sentence"] == plain
    assert told["schema"].startswith("buildbook.")

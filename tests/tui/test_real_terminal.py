"""The screen in a real terminal: tmux runs the program, keys are sent, and the screen is read back."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from uuid import uuid4

import pytest

pytestmark = [
    pytest.mark.process,
    pytest.mark.skipif(shutil.which("tmux") is None, reason="there is no tmux here"),
]
# Long enough for a busy machine; every wait ends as soon as what it waits for is there.
PATIENCE_S = 40


class Terminal:
    """A terminal of its own, with the program in it."""

    def __init__(self, place: str, environment: dict[str, str]) -> None:
        self.tmux = ["tmux", "-L", place]
        # A size in the environment, as a test runner leaves it there, would be believed for ever.
        inherited = {name: value for name, value in os.environ.items() if name not in ("COLUMNS", "LINES")}
        self.environment = {**inherited, **environment, "TERM": "xterm-256color", "LC_ALL": "C.UTF-8"}

    def __call__(self, *words: str) -> str:
        done = subprocess.run([*self.tmux, *words], capture_output=True, text=True, check=False, env=self.environment)
        return done.stdout

    def open(self, *words: str, term: str) -> None:
        program = ["env", f"TERM={term}", sys.executable, "-m", "buildbook", *words]
        self("-f", "/dev/null", "new-session", "-d", "-x", "80", "-y", "24", *program)

    def sees(self, text: str) -> str:
        """Wait until a text stands on the screen; return the screen."""
        end = time.monotonic() + PATIENCE_S
        while time.monotonic() < end:
            screen = self("capture-pane", "-p")
            if text in " ".join(screen.split()):
                return screen
            time.sleep(0.05)
        raise AssertionError(f"{text!r} did not appear on\n{screen}")


@pytest.fixture
def terminal(tmp_path: Path) -> Iterator[Callable[..., Terminal]]:
    opened: list[Terminal] = []

    def open_one(*words: str, term: str = "xterm-256color", **environment: str) -> Terminal:
        # Never the name of one that is just being closed.
        one = Terminal(f"buildbook-{uuid4().hex}", {"HOME": str(tmp_path), **environment})
        opened.append(one)
        one.open(*words, term=term)
        return one

    yield open_one
    for one in opened:
        one("kill-server")


def test_the_six_places_answer_and_a_change_from_elsewhere_appears(
    terminal: Callable[..., Terminal], at_demo: Path
) -> None:
    screen = terminal("--db", str(at_demo))
    screen.sees("steps ready")
    for key, said in (
        ("2", "12 sections"),
        ("3", "on hand, worth"),
        ("4", "short"),
        ("5", "questions open"),
        ("6", "is open"),
    ):
        screen("send-keys", key)
        screen.sees(said)
    screen("send-keys", "3")
    screen.sees("234 parts")
    other = [sys.executable, "-m", "buildbook", "stores", "new-part", "TEST-1", "--db", str(at_demo)]
    subprocess.run(other, check=True, capture_output=True)
    screen.sees("235 parts")


def test_leaving_leaves(terminal: Callable[..., Terminal], at_demo: Path) -> None:
    screen = terminal("--db", str(at_demo))
    screen.sees("steps ready")
    screen("send-keys", "q")
    end = time.monotonic() + PATIENCE_S
    while screen("list-sessions") and time.monotonic() < end:
        time.sleep(0.05)
    assert screen("list-sessions") == ""


def test_a_poor_terminal_gets_plain_signs_and_no_colour(terminal: Callable[..., Terminal], at_demo: Path) -> None:
    screen = terminal("--db", str(at_demo), "--ascii", NO_COLOR="1")
    plain = screen.sees("steps ready")
    assert plain.isascii()
    drawn = screen("capture-pane", "-p", "-e")
    # Greys only: 232 to 255 of the 256 colours are a ramp of them.
    assert {int(colour) for colour in re.findall(r"[34]8;5;([0-9]+)", drawn)} <= set(range(232, 256))
    assert "8;2;" not in drawn


def test_sixteen_colours_are_enough(terminal: Callable[..., Terminal], at_demo: Path) -> None:
    screen = terminal("--db", str(at_demo), term="xterm-16color")
    screen.sees("steps ready")
    drawn = screen("capture-pane", "-p", "-e")
    assert "8;2;" not in drawn
    assert "8;5;" not in drawn
    # Text of several tones stands on a ground of another colour.
    assert len(set(re.findall(r"\x1b\[[0-9;]*m", drawn))) > 3


def test_the_terminal_is_made_tiny_and_wide_and_nothing_is_lost(
    terminal: Callable[..., Terminal], at_demo: Path
) -> None:
    screen = terminal("--db", str(at_demo))
    screen.sees("steps ready")
    screen("resize-window", "-x", "20", "-y", "5")
    screen.sees("Too small")
    screen("resize-window", "-x", "120", "-y", "40")
    wide = screen.sees("steps ready")
    assert len(wide.splitlines()) == 40
    screen("send-keys", "3")
    screen.sees("234 parts")

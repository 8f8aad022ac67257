"""A program ended in the middle of its work loses nothing that it said it did, and leaves nothing half done."""

from __future__ import annotations

import os
import random
import signal
import subprocess
import sys
import time
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

import pytest

from buildbook.store.checkup import check
from buildbook.store.workshop import Workshop, open_workshop

pytestmark = [
    pytest.mark.process,
    pytest.mark.skipif(not hasattr(os, "fork"), reason="processes are not made in this way here"),
]
ROUNDS = 10


class Hammer:
    """A program that lets processes work on a workshop; `strike` begins one, `kill` ends it."""

    def __init__(self, process: subprocess.Popen[str]) -> None:
        assert process.stdin is not None
        assert process.stdout is not None
        self.asks, self.says = process.stdin, process.stdout
        self.number = 0

    def strike(self, path: Path, seed: int) -> None:
        self.asks.write(f"{path} {seed}\n")
        self.asks.flush()
        self.number = int(self.said())

    def said(self) -> str:
        line = self.says.readline()
        assert line.endswith("\n"), "the program broke off by itself"
        return line[:-1]

    def acknowledged(self, count: int) -> list[str]:
        return [self.said() for _ in range(count)]

    def kill(self) -> list[str]:
        """End the process at work; return what it had still said."""
        os.kill(self.number, signal.SIGKILL)
        return list(iter(self.said, "ended"))


@pytest.fixture
def hammer() -> Iterator[Hammer]:
    command = [sys.executable, str(Path(__file__).with_name("hammer.py"))]
    pipe = subprocess.PIPE
    with subprocess.Popen(command, stdin=pipe, stdout=pipe, stderr=pipe, text=True) as process:
        yield Hammer(process)
        assert process.communicate()[1] == ""


def test_ended_at_any_moment_nothing_acknowledged_is_lost_and_nothing_is_half_done(
    wren: Workshop, hammer: Hammer
) -> None:
    wren.close()
    dice = random.Random(11)
    acknowledged = ["Draw the Wren"]
    for seed in range(ROUNDS):
        hammer.strike(wren.path, seed)
        acknowledged += hammer.acknowledged(dice.randint(1, 60))
        time.sleep(dice.random() * 0.02)
        acknowledged += hammer.kill()
        shop = open_workshop(wren.path)
        assert [proof for proof in check(shop) if not proof.holds] == []
        written = [row[0] for row in shop.reads.execute("SELECT title FROM journal_entry ORDER BY id")]
        shop.close()
        assert Counter(acknowledged) <= Counter(written)
        # At most the action that was about to be acknowledged stands there unsaid.
        assert len(written) - len(acknowledged) <= 1
        acknowledged = written
    assert len(acknowledged) > 100


def test_ended_while_a_workshop_is_being_made_it_is_made_the_next_time(tmp_path: Path, hammer: Hammer) -> None:
    dice = random.Random(3)
    for number in range(ROUNDS):
        path = tmp_path / f"{number}.db"
        hammer.strike(path, number)
        while not path.exists():
            time.sleep(0.0005)
        time.sleep(dice.random() * 0.06)
        hammer.kill()
        shop = open_workshop(path)
        assert [proof for proof in check(shop) if not proof.holds] == []
        shop.close()

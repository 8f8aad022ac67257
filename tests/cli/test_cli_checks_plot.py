"""Plots written by the command line: the kinds of file, and what is refused."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from typer.testing import Result

Say = Callable[..., Result]


@pytest.mark.parametrize(("ending", "begins"), [("svg", b"<?xml"), ("pdf", b"%PDF"), ("png", b"\x89PNG")])
def test_supplies_and_readings_are_drawn_into_a_file(
    say: Say, at_demo: Path, tmp_path: Path, ending: str, begins: bytes
) -> None:
    for what, said in (("supplies", "supplies"), ("readings", "points")):
        out = tmp_path / f"{what}.{ending}"
        result = say("checks", "plot", what, "--out", str(out), "--build", "CURLEW")
        assert result.stdout.startswith("Drew ")
        assert said in result.stdout
        assert out.read_bytes().startswith(begins)


def test_a_file_that_is_there_is_kept_unless_asked(say: Say, at_demo: Path, tmp_path: Path) -> None:
    out = tmp_path / "plot.svg"
    out.write_text("mine")
    result = say("checks", "plot", "supplies", "--out", str(out), code=2)
    assert "A file of that name is there." in result.stderr
    assert out.read_text() == "mine"
    say("checks", "plot", "supplies", "--out", str(out), "--replace")
    assert out.read_text().startswith("<?xml")


@pytest.mark.parametrize(
    ("words", "why"),
    [
        (("supplies", "--out", "plot.gif"), "SVG, PDF or PNG"),
        (("prices", "--out", "plot.svg"), "There is no plot"),
        (("supplies", "--out", "nowhere/plot.svg"), "There is no folder"),
        (("supplies", "--out", "plot.svg", "--build", "NONE"), "NONE"),
    ],
)
def test_what_cannot_be_drawn_leaves_no_file(
    say: Say, at_demo: Any, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, words: tuple[str, ...], why: str
) -> None:
    monkeypatch.chdir(tmp_path)
    before = set(tmp_path.iterdir())
    assert why in say("checks", "plot", *words, code=2).stderr
    # the home of a log may be made; nothing of the plot is left
    assert not [path for path in set(tmp_path.iterdir()) - before if path.suffix]

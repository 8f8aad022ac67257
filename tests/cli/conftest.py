"""The command line at hand: a home of its own, the program as a function, and the Curlew with a few steps."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from typer.testing import CliRunner, Result

from buildbook.actions import boards, checklists, checks, stores
from buildbook.actions.checklists import NewStep
from buildbook.actions.workshop import Workshop
from buildbook.cli.main import app

Say = Callable[..., Result]


@pytest.fixture(autouse=True)
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A home of its own, so that nobody's workshop or log is met."""
    monkeypatch.delenv("BUILDBOOK_DB", raising=False)
    monkeypatch.setenv("HOME", str(tmp_path / "home"))
    for name in ("XDG_DATA_HOME", "XDG_STATE_HOME"):
        monkeypatch.setenv(name, str(tmp_path / "home" / name))
    return tmp_path / "home"


@pytest.fixture
def say(tmp_path: Path) -> Say:
    """Run the program on the workshop of the test; a code other than 0 has to be expected."""

    def run(*words: str, code: int = 0, db: Path | None = None) -> Result:
        env = {"BUILDBOOK_DB": str(db or tmp_path / "workshop.db")}
        result = CliRunner().invoke(app, list(words), env=env)
        assert result.exit_code == code, result.output
        return result

    return run


@pytest.fixture
def curlew(shop: Workshop) -> Workshop:
    """The Curlew: a case that is masked before it is primed, a panel, and an open question."""
    boards.new_project(shop, "CURLEW", "Curlew receiver", target_on="2026-12-24")
    boards.new_assembly(shop, "CURLEW", "CASE", "Case", "case")
    boards.new_assembly(shop, "CURLEW", "PANEL", "Dial panel", "panel")
    checklists.add_steps(
        shop,
        "CURLEW/CASE",
        [
            NewStep("Deburr the holes", 20),
            NewStep("Mask the earth patch", 5),
            NewStep("Prime inside and out", 30, one_way=True, caution="Air the room; no flames near solvents."),
        ],
    )
    checklists.add_step(shop, "CURLEW/PANEL", NewStep("Cut meter opening", 40, one_way=True))
    checks.ask(shop, "CURLEW", "RECT", "Which rectifier?", {"VALVE": "Valve", "SIL": "Silicon diodes"})
    stores.new_part(shop, "C-22U", name="Smoothing capacitor")
    return shop

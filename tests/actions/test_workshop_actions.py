"""The workshop as a whole: settings, taking back, backups, and how little is imported to open it."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from buildbook.actions import buying, stores
from buildbook.actions.buying import OrderLine
from buildbook.actions.workshop import Workshop, back_up, redo, restore, set_setting, undo
from buildbook.errors import BadInput, Forbidden


def settings(shop: Workshop) -> dict[str, str]:
    return dict(shop.reads.execute("SELECT key, value FROM setting"))


def test_settings_are_kept_as_they_are_understood(shop: Workshop) -> None:
    assert set_setting(shop, "Currency", " gbp ") == "GBP"
    set_setting(shop, "currency", "EUR")
    assert set_setting(shop, "labour-rate", "25,50") == "25500000"
    set_setting(shop, "labour_rate", "30")
    assert settings(shop) == {"currency": "EUR", "labour_rate": "30000000"}


@pytest.mark.parametrize(
    ("key", "value", "said"),
    [
        ("colour", "red", "There is no setting “colour”."),
        ("currency", "ABC", "The currency was not understood."),
        ("labour_rate", "a lot", "The amount was not understood."),
    ],
)
def test_what_is_no_setting_is_refused(shop: Workshop, key: str, value: str, said: str) -> None:
    with pytest.raises(BadInput) as refused:
        set_setting(shop, key, value)
    assert refused.value.what == said
    assert settings(shop) == {}


def test_a_rate_is_in_the_currency_of_the_workshop(curlew: Workshop) -> None:
    with pytest.raises(BadInput, match=r"another currency than EUR"):
        set_setting(curlew, "labour_rate", "£25")


def test_the_currency_stays_once_money_is_recorded(shop: Workshop) -> None:
    set_setting(shop, "currency", "EUR")
    stores.new_part(shop, "R-4K7")
    stores.new_bin(shop, "A1")
    buying.new_supplier(shop, "TERN")
    buying.place_order(shop, "T-1", "TERN", [OrderLine("R-4K7", 1)])
    set_setting(shop, "currency", "GBP")
    stores.receive(shop, "R-4K7", "A1", 1, price_micros=1)
    with pytest.raises(Forbidden, match=r"The currency was not changed. Prices have been recorded"):
        set_setting(shop, "currency", "EUR")
    set_setting(shop, "currency", "gbp")
    assert settings(shop) == {"currency": "GBP"}


def test_the_last_action_is_taken_back_and_done_again(shop: Workshop) -> None:
    stores.new_bin(shop, "A1")
    assert undo(shop) == "New bin A1"
    assert shop.reads.execute("SELECT count(*) FROM bin").fetchone() == (0,)
    assert redo(shop) == "New bin A1"
    assert shop.reads.execute("SELECT count(*) FROM bin").fetchone() == (1,)


def test_a_backup_is_put_back(shop: Workshop, tmp_path: Path) -> None:
    stores.new_bin(shop, "A1")
    assert back_up(shop, tmp_path / "backup.db") > 0
    stores.new_bin(shop, "A2")
    restore(shop, tmp_path / "backup.db")
    assert shop.reads.execute("SELECT name FROM bin").fetchall() == [("A1",)]


@pytest.mark.process
def test_opening_a_workshop_imports_nothing_heavy() -> None:
    asked = "import sys, buildbook.actions.workshop, buildbook.store.read.naming; print(*sys.modules)"
    said = subprocess.run([sys.executable, "-c", asked], capture_output=True, text=True, check=True).stdout.split()
    heavy = {"sqlalchemy", "sqlmodel", "pydantic", "pandas", "alembic", "rich", "typer", "platformdirs", "difflib"}
    assert heavy.isdisjoint(said)

"""The workshop as a whole: opening it, taking back, backing up, and its settings.

Every command opens the workshop through here, so nothing heavy is imported before it is needed.
"""

from __future__ import annotations

from pathlib import Path

from buildbook.errors import BadInput, Forbidden
from buildbook.store.workshop import Workshop, default_place, demo_place, open_workshop
from buildbook.trade.derating import SETTINGS as DERATINGS
from buildbook.trade.plain import clean, quote

__all__ = [
    "SETTINGS",
    "Workshop",
    "back_up",
    "default_place",
    "demo_place",
    "open_workshop",
    "rebuild_words",
    "redo",
    "restore",
    "set_setting",
    "undo",
]

SETTINGS = ("currency", "labour_rate", "fuse_window", "landed_cost", *DERATINGS)


def undo(shop: Workshop) -> str:
    """Take back the last action and return its title. Raises Forbidden when there is nothing to take back."""
    from buildbook.store import journal

    return journal.undo(shop)


def redo(shop: Workshop) -> str:
    """Do again what was undone last and return its title. Raises Forbidden when something has been done since."""
    from buildbook.store import journal

    return journal.redo(shop)


def back_up(shop: Workshop, target: Path) -> int:
    """Write a backup, prove that it can be read, and return its size in bytes. An existing file is never replaced."""
    from buildbook.store import backup

    return backup.back_up(shop, target)


def restore(shop: Workshop, source: Path) -> Path | None:
    """Put a backup in the place of the workshop, even a damaged one; return where what it held was kept, if kept."""
    from buildbook.store import backup

    return backup.put_back(shop, source)


def rebuild_words(shop: Workshop) -> int:
    """Make the index of words anew from the tables, and return how many texts are in it. Nothing else is touched."""
    from buildbook.store import words

    return words.rebuild(shop)


def set_setting(shop: Workshop, key: str, value: str) -> str:
    """Set one of SETTINGS and return it as kept.

    `currency` is a code of ISO 4217, and may change only while no money is recorded. `labour_rate` is the price of an
    hour's work, kept in millionths of the currency. `derating_...` is the share of a rating that is used at most, in
    percent. `fuse_window` is between which multiples of the primary current a mains fuse is proposed ("1.5 to 2").
    `landed_cost` says whether what arrives is worth its share of postage and discount too: "no", "yes" (with tax), or
    "without tax" where tax is got back.
    """
    from sqlmodel import col, select

    from buildbook.actions.rows import put
    from buildbook.store.journal import action
    from buildbook.store.tables import Setting
    from buildbook.trade.money import DEFAULT_CURRENCY

    name = clean(key).lower().replace("-", "_").replace(" ", "_")
    if name not in SETTINGS:
        raise BadInput(f"There is no setting {quote(key)}.", f"There are {', '.join(SETTINGS)}.", "Set one of them.")
    kept = read_setting(shop, name, value)
    with action(shop, f"Set {name.replace('_', ' ')}: {clean(value)}") as work:
        setting = work.exec(select(Setting).where(col(Setting.key) == name)).first()
        if name == "currency" and kept != (setting.value if setting else DEFAULT_CURRENCY) and money_recorded(shop):
            raise Forbidden(
                "The currency was not changed.",
                "Prices have been recorded, and would mean something else.",
                "Start a new workshop for another currency.",
            )
        if setting is None:
            put(work, Setting(key=name, value=kept))
        else:
            setting.value = kept
    return kept


def read_setting(shop: Workshop, name: str, value: str) -> str:
    """The value of a setting, as it is kept."""
    if name in DERATINGS:
        from buildbook.trade.derating import read_share

        return read_share(value)
    if name == "landed_cost":
        from buildbook.trade.terms import read_landing

        return read_landing(value)
    if name == "fuse_window":
        from buildbook.trade import fuses

        return fuses.show_window(*fuses.read_window(value))
    return read_currency(value) if name == "currency" else read_rate(shop, value)


def read_currency(text: str) -> str:
    """A code of ISO 4217, in capital letters."""
    from buildbook.trade.money import minor_decimals

    code = clean(text).upper()
    minor_decimals(code)
    return code


def read_rate(shop: Workshop, text: str) -> str:
    """An amount of money for an hour, in millionths of the workshop's currency."""
    from buildbook.trade.money import DEFAULT_CURRENCY, read_money

    row = shop.reads.execute("SELECT value FROM setting WHERE key = 'currency'").fetchone()
    return str(read_money(text, row[0] if row else DEFAULT_CURRENCY))


# Index: none needed but those of the small tables; each stops at the first row found.
MONEY = """
    SELECT EXISTS (SELECT 1 FROM offer_break)
        OR EXISTS (SELECT 1 FROM purchase_line WHERE price_micros IS NOT NULL)
        OR EXISTS (SELECT 1 FROM worth WHERE value_micros > 0)
        OR EXISTS (SELECT 1 FROM holding WHERE value_micros > 0)
        OR EXISTS (SELECT 1 FROM movement WHERE value_micros <> 0)
        OR EXISTS (SELECT 1 FROM setting WHERE key = 'labour_rate')
"""


def money_recorded(shop: Workshop) -> bool:
    """Whether any price, worth or rate has been written down."""
    return bool(shop.reads.execute(MONEY).fetchone()[0])

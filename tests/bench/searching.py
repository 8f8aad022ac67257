"""How fast words are found among 100,000 notes while they are typed: against one bare statement, and as before."""

from __future__ import annotations

import random
import sqlite3
from collections.abc import Sequence

from buildbook.answers.search import search
from buildbook.store.read.log import HAPPENED
from buildbook.store.workshop import Workshop
from tests.bench.race import Ground, Race

NOTES = 100_000
MOST = 40
SEED = 7
SPOKEN = """
    mains board transformer winding heater supply choke resistor capacitor valve solder joint earth stud primer
    lacquer panel meter dial coil mixer audio output stage hum noise measured replaced lifted fitted drilled
    deburred smoothing rectifier diode inrush limiter shelved too hot volts across cathode anode grid screen bias
    detector ripple trace cold crack loose wire harness twisted pair headphone jack ceramic mica trimmer alignment
    IF HT
"""
WORDS = SPOKEN.split()
# Typed letter by letter, as somebody does who looks for a note.
TYPED = ("transformer", "4k7", "R114", "mains hum", "smoothing choke cold")
ALONE = ("transformer", "4k7", "R114")
BARE = "SELECT rowid FROM said WHERE said MATCH ?"
# As it was before there was an index of words.
LIKE = f"""
    SELECT at, kind, build, what, about FROM ({HAPPENED})
     WHERE what LIKE :like ESCAPE '\\' OR about LIKE :like ESCAPE '\\'
    UNION ALL
    SELECT e.opened_at, 'episode', b.code, e.title, e.recap FROM episode AS e JOIN build AS b ON b.id = e.build_id
     WHERE e.title LIKE :like ESCAPE '\\' OR e.recap LIKE :like ESCAPE '\\'
    UNION ALL
    SELECT '', 'part', '', key, name FROM part
     WHERE key LIKE :like ESCAPE '\\' OR name LIKE :like ESCAPE '\\' OR value_text LIKE :like ESCAPE '\\'
        OR maker_number LIKE :like ESCAPE '\\' OR note LIKE :like ESCAPE '\\'
     ORDER BY 1 DESC, 2, 4
"""


def noted(ground: Ground) -> Workshop:
    """The workshop with so many notes in its log; always the same ones."""
    path = ground.workshop_copy("noted")
    chance = random.Random(SEED)
    special = [f"R{number}" for number in range(1, 400)] + ["1N4007", "EF91", "4k7", "22u", "100n", "6.3 V"]

    def text() -> str:
        many = chance.randint(6, 18)
        return " ".join(chance.choice(special if chance.random() < 0.12 else WORDS) for _ in range(many)).capitalize()

    db = sqlite3.connect(path)
    count = max(50, round(NOTES * ground.scale))
    rows = ((f"2026-{1 + at * 11 // count:02}-02T18:00:00.000Z", text()) for at in range(count))
    db.executemany("INSERT INTO entry (at, text) VALUES (?, ?)", rows)
    db.commit()
    db.close()
    shop = Workshop(path)
    ground.closing.callback(shop.close)
    return shop


def begun(texts: Sequence[str]) -> list[str]:
    """What stands in the field after each letter."""
    return [text[:end] for text in texts for end in range(1, len(text) + 1)]


def asked(text: str) -> str:
    """The same in the language of FTS5, written out by hand."""
    words = [f'"{word}"' for word in text.split()]
    return " AND ".join(words) + ("" if text.endswith(" ") else " *")


def each_letter(ground: Ground) -> Race:
    """The search, as the screen asks it, against one bare statement that only finds the rows."""
    shop = noted(ground)
    typed = begun(TYPED)

    def ours() -> list[int]:
        return [search(shop, text, most=MOST).total for text in typed]

    def bare() -> list[int]:
        return [len(shop.reads.execute(BARE, (asked(text),)).fetchall()) for text in typed]

    return Race(
        f"search while typing, {len(typed)} letters",
        "one bare FTS5 statement each",
        1.5,
        ours,
        bare,
        # What begins no word is looked for within words, of which the bare statement knows nothing.
        agree=lambda found, there: all(not two or one == two for one, two in zip(found, there, strict=True)),
    )


def each_letter_before(ground: Ground) -> Race:
    """The same against looking into every text, as it was before there was an index of words."""
    shop = noted(ground)
    typed = begun(ALONE)

    def ours() -> list[int]:
        return [search(shop, text, most=MOST).total for text in typed]

    def like() -> list[int]:
        return [len(shop.reads.execute(LIKE, {"like": f"%{text}%"}).fetchall()) for text in typed]

    # Not the same texts: other kinds were not looked into before, and words were found in the middle of others.
    return Race(
        f"search while typing, {len(typed)} letters",
        "the former LIKE over every text",
        0.5,
        ours,
        like,
        agree=lambda found, there: any(found) and any(there),
    )

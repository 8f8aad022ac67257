"""How fast the screen is, in a terminal of its own: the first frame, a key, a letter that narrows; and memory.

The program runs as it is started from a shell, and what it paints is read as a terminal would read it.
"""

from __future__ import annotations

import fcntl
import os
import pty
import re
import select
import signal
import sqlite3
import struct
import subprocess
import sys
import termios
import time
from collections.abc import Mapping, Sequence
from contextlib import closing
from functools import cached_property, partial
from operator import eq
from pathlib import Path
from statistics import median, quantiles

from buildbook.answers.bench import bench
from buildbook.answers.standing import builds_that_count
from buildbook.answers.stores import stores
from buildbook.store.workshop import Workshop, open_workshop
from tests.bench.huge import huge_workshop
from tests.bench.race import Ground, Race
from tests.bench.starting import cold

ROWS, COLUMNS = 24, 80
# Longer than the slowest machine needs; every wait ends as soon as what it waits for is painted.
PATIENCE_S = 60
# After so long without a byte the screen is at rest, and a warm one has imported what writing needs.
QUIET_S, WARM_S = 0.03, 4.0
# A lone escape is known only when nothing follows it.
ESCAPE_S = 0.2
# Signs of a terminal that are not text: colours, places of the cursor, modes, names.
CONTROLS = re.compile(rb"\x1b(?:\[[0-?]*[ -/]*[@-~]|\][^\x07\x1b]*(?:\x07|\x1b\\)|P[^\x1b]*\x1b\\|[()][0-9A-B]|[=>78])")
DOWN, PAGE_DOWN, HOME, ESCAPE = b"\x1b[B", b"\x1b[6~", b"\x1b[H", b"\x1b"
TO_STORES, STORES_SAY = b"3", "on hand, worth"
SELECTED = re.compile("› *(\\S+)")
BENCH_ASKS, NOTHING_YET, MARK = "What can I do now", "empty", "›"
# So much of a sentence stands on one line, however narrow the screen.
SENTENCE_AT_LEAST = 40
# Keys pressed in one round, so many in a row from the top, and how often the texts are typed.
PRESSES, IN_A_ROW, TYPINGS = 20, 5, 3
# At this scale a workshop has 100 parts.
HUNDRED = 0.005

BARE = """
from textual.app import App
from textual.widgets import Static


class Bare(App):
    def compose(self):
        yield Static("Here it stands")


Bare().run()
"""
BARE_SAYS = "Here it stands"
# What the Bench is made of; all of it is fetched, as the answer fetches it.
STATEMENTS = """
import sqlite3
import sys

import sqlmodel
import textual.app

connection = sqlite3.connect(sys.argv[1])
for statement in (
    "SELECT * FROM build AS b JOIN project AS p ON p.id = b.project_id ORDER BY b.priority, b.id",
    "SELECT a.*, p.code FROM assembly AS a JOIN project AS p ON p.id = a.project_id ORDER BY p.code, a.position, a.id",
    "SELECT * FROM step ORDER BY assembly_id, position, id",
    "SELECT * FROM step_run",
    "SELECT * FROM step_need ORDER BY step_id, id",
    "SELECT parent_id, child_id, qty, option_id FROM contains",
):
    rows = connection.execute(statement).fetchall()
    print(len(rows))
"""
# What is typed letter by letter; no figure, no bin and no unit of the list holds these letters.
TYPED = ("ax ca", "di w")
HAY = (
    "(key || ' ' || value_text || ' ' || kind || ' ' || name || ' ' || package || ' ' || maker || ' ' || maker_number)"
)


class Meter:
    """A clock that goes on by what was measured alone, be that seconds or, for memory, thousands of MB."""

    def __init__(self) -> None:
        self.total = 0.0

    def __call__(self) -> float:
        return self.total

    def add(self, measured: float) -> None:
        """Go on by so much."""
        self.total += measured


class Terminal:
    """A terminal with a program in it: what was painted since the last look, keys to press, the memory it took."""

    def __init__(self, ground: Ground, words: Sequence[str]) -> None:
        self._ours, theirs = pty.openpty()
        fcntl.ioctl(theirs, termios.TIOCSWINSZ, struct.pack("HHHH", ROWS, COLUMNS, 0, 0))
        env = {**os.environ, "TERM": "xterm-256color", "LC_ALL": "C.UTF-8", "HOME": str(ground.folder)}
        env.pop("PYTHONDONTWRITEBYTECODE", None)
        if not ground.trial:
            env["PYTHONPYCACHEPREFIX"] = str(ground.folder / "compiled")
        self._program = subprocess.Popen(
            [sys.executable, *words], stdin=theirs, stdout=theirs, stderr=theirs, env=env, start_new_session=True
        )
        os.close(theirs)
        self._painted = b""

    def _read(self, wait_s: float) -> bool:
        """Read what is painted now; False when there was nothing for so long."""
        if not select.select([self._ours], [], [], wait_s)[0]:
            return False
        try:
            self._painted += os.read(self._ours, 1 << 16)
        except OSError as ended:
            raise EOFError(f"The program ended by itself: {self.painted()[-2000:].decode()}") from ended
        return True

    def sees(self, text: str) -> str:
        """Wait until a text is painted, and return all that was since the last key."""
        wanted, end = text.encode(), time.perf_counter() + PATIENCE_S
        while wanted not in self.painted():
            if time.perf_counter() > end or not self._read(PATIENCE_S):
                raise TimeoutError(f"{text!r} was not painted, but {self._painted[-2000:]!r}")
        return self.painted().decode(errors="replace")

    def painted(self) -> bytes:
        """What was painted since the last key, without colours; places of the cursor are line ends."""
        return CONTROLS.sub(b"", self._painted)

    def rest(self, quiet_s: float = QUIET_S) -> None:
        """Wait until nothing is painted any more."""
        while self._read(quiet_s):
            pass

    def press(self, key: bytes) -> None:
        """Press a key."""
        self._painted = b""
        os.write(self._ours, key)

    def timed(self, key: bytes, text: str) -> float:
        """Seconds from a key until the text is painted; then the screen comes to rest."""
        began = time.perf_counter()
        self.press(key)
        self.sees(text)
        took = time.perf_counter() - began
        self.rest()
        return took

    def close(self) -> int:
        """End the program; return the most memory that it ever held, in bytes."""
        # Not through Popen, which would look whether it is alive and so take what it used out of our hands.
        os.kill(self._program.pid, signal.SIGKILL)
        _, status, used = os.wait4(self._program.pid, 0)
        self._program.returncode = status
        os.close(self._ours)
        return used.ru_maxrss * (1 if sys.platform == "darwin" else 1024)


def screen_of(workshop: Path) -> tuple[str, ...]:
    """What starts the screen on a workshop, as a user's environment names it."""
    return "-c", f"import os; os.environ['BUILDBOOK_DB'] = {str(workshop)!r}; import buildbook.__main__ as it; it.run()"


def until(ground: Ground, meter: Meter, words: Sequence[str], text: str) -> str:
    """Start a program and measure how long it takes until a text is painted; what was painted by then."""
    began = time.perf_counter()
    one = Terminal(ground, words)
    try:
        painted = one.sees(text)
        meter.add(time.perf_counter() - began)
    finally:
        one.close()
    return painted


# --- from cold -------------------------------------------------------------------------------------------------------


def first_frame(ground: Ground) -> Race:
    """The first frame, which asks the question of the Bench, against an application that shows one line."""
    bare = ground.folder / "bare.py"
    bare.write_text(BARE, encoding="utf-8")
    meter = Meter()
    return Race(
        "first frame of the screen, from cold",
        "a bare Textual application",
        1.25,
        lambda: until(ground, meter, screen_of(ground.workshop), BENCH_ASKS),
        lambda: until(ground, meter, [str(bare)], BARE_SAYS),
        lambda ours, theirs: BENCH_ASKS in ours and BARE_SAYS in theirs,
        meter,
    )


def bench_on_screen(ground: Ground) -> Race:
    """The Bench of the first build with its steps, against the imports and the rows alone."""
    shop = Workshop(ground.workshop)
    said = " " + bench(shop, builds_that_count(shop)[0].code).sentence[:SENTENCE_AT_LEAST]
    (steps,) = shop.reads.execute("SELECT count(*) FROM step").fetchone()
    shop.close()
    script = ground.folder / "statements.py"
    script.write_text(STATEMENTS, encoding="utf-8")
    meter = Meter()

    def statements() -> str:
        began = time.perf_counter()
        printed = cold(ground, [str(script), str(ground.workshop)])
        meter.add(time.perf_counter() - began)
        return printed

    return Race(
        "the Bench with its steps on the screen, from cold",
        "importing textual and sqlmodel and fetching the rows",
        1.15,
        lambda: until(ground, meter, screen_of(ground.workshop), said),
        statements,
        lambda ours, theirs: said in ours and str(steps) in theirs.split(),
        meter,
    )


# --- Stores ----------------------------------------------------------------------------------------------------------


class InStores:
    """The screen with Stores open, started when it is first needed, and the parts in the order of its list."""

    def __init__(self, ground: Ground, workshop: Path) -> None:
        self.workshop = workshop
        self._ground = ground

    @cached_property
    def terminal(self) -> Terminal:
        """Its terminal, at rest."""
        one = Terminal(self._ground, screen_of(self.workshop))
        self._ground.closing.callback(one.close)
        one.sees("step")
        one.rest(QUIET_S if self._ground.trial else WARM_S)
        one.press(TO_STORES)
        one.sees(STORES_SAY)
        one.rest(ESCAPE_S)
        return one

    @cached_property
    def keys(self) -> list[str]:
        """The keys of all parts."""
        shop = Workshop(self.workshop)
        with closing(shop):
            return [row.key for row in stores(shop).rows]

    def press_often(self, key: bytes, share: int, meter: Meter) -> int:
        """Press a key from the top of the list on; measure the time that so many of a hundred stay below.

        Return the place of the row that is selected in the end.
        """
        times = []
        for _ in range(1 if self._ground.trial else PRESSES // IN_A_ROW):
            self.terminal.press(HOME)
            self.terminal.rest()
            times += [self.terminal.timed(key, MARK) for _ in range(IN_A_ROW)]
        meter.add(percentile(times, share))
        marked = SELECTED.findall(self.terminal.painted().decode(errors="replace"))
        return self.keys.index(marked[-1])


def key_race(ground: Ground, key: bytes, name: str, share: int) -> Race:
    """A key in the list of all parts, against the same in a list of 100."""
    meter = Meter()
    hundred = ground.workshop if ground.trial else huge_workshop(HUNDRED)
    many, few = InStores(ground, ground.workshop), InStores(ground, hundred)
    return Race(
        f"{name} in the list of all parts, to the painted frame, p{share}",
        "the same in a list of 100 parts",
        1.3,
        lambda: many.press_often(key, share, meter),
        lambda: few.press_often(key, share, meter),
        eq,
        meter,
    )


down_p50 = partial(key_race, key=DOWN, name="down", share=50)
down_p95 = partial(key_race, key=DOWN, name="down", share=95)
page_p50 = partial(key_race, key=PAGE_DOWN, name="page down", share=50)
page_p95 = partial(key_race, key=PAGE_DOWN, name="page down", share=95)


def narrowing(ground: Ground) -> Race:
    """Each letter that narrows the list of all parts, to the painted frame, against one statement that finds them."""
    meter = Meter()
    many = InStores(ground, ground.workshop)
    plain = sqlite3.connect(f"{ground.workshop.as_uri()}?mode=ro", uri=True)
    ground.closing.callback(plain.close)
    texts = [text[:length] for text in TYPED for length in range(1, len(text) + 1)]
    counts = {text: len(like(plain, text)) for text in texts}

    def ours() -> list[int]:
        times: list[float] = []
        for _ in range(1 if ground.trial else TYPINGS):
            found = [type_out(many, text, counts, times) for text in TYPED]
        meter.add(percentile(times, 95))
        return found

    def theirs() -> list[int]:
        times = []
        for text in texts:
            began = time.perf_counter()
            like(plain, text)
            times.append(time.perf_counter() - began)
        meter.add(median(times))
        return [counts[text] for text in TYPED]

    return Race(
        "a letter that narrows the list of all parts, to the painted frame, p95",
        "one LIKE statement that finds them, p50",
        2,
        ours,
        theirs,
        eq,
        meter,
    )


def type_out(many: InStores, text: str, counts: Mapping[str, int], times: list[float]) -> int:
    """Type a text and leave the search again; note how long each letter took that changed the list. Rows left over."""
    screen, total = many.terminal, len(many.keys)
    screen.press(b"/")
    screen.rest()
    shown = total
    for length in range(1, len(text) + 1):
        letter, count = text[length - 1].encode(), counts[text[:length]]
        if count == shown:
            # Nothing else is painted by which it could be known.
            screen.press(letter)
            screen.rest(ESCAPE_S)
        else:
            times.append(screen.timed(letter, f" {count:,} of {total:,} rows"))
        shown = count
    screen.press(ESCAPE)
    screen.rest(ESCAPE_S)
    return shown


def like(plain: sqlite3.Connection, text: str) -> list[tuple[str]]:
    """The keys of the parts in which every word of a text stands."""
    words = text.split()
    where = " AND ".join(f"{HAY} LIKE ?" for _ in words)
    return plain.execute(f"SELECT key FROM part WHERE {where}", [f"%{word}%" for word in words]).fetchall()


def memory(ground: Ground) -> Race:
    """The most that the screen ever holds with Stores open, against the screen on an empty workshop."""
    empty = ground.folder / "empty.db"
    open_workshop(empty).close()
    meter = Meter()

    def held(workshop: Path, text: str) -> str:
        one = Terminal(ground, screen_of(workshop))
        try:
            one.sees(BENCH_ASKS)
            one.rest(QUIET_S if ground.trial else WARM_S)
            one.press(TO_STORES)
            painted = one.sees(text)
            one.rest(QUIET_S if ground.trial else 1)
        finally:
            meter.add(one.close() / 1e9)
        return painted

    return Race(
        "memory with Stores open (read MB for ms)",
        "the screen on an empty workshop",
        1.5,
        lambda: held(ground.workshop, STORES_SAY),
        lambda: held(empty, NOTHING_YET),
        lambda ours, theirs: STORES_SAY in ours and NOTHING_YET in theirs,
        meter,
    )


def percentile(times: Sequence[float], share: int) -> float:
    """The time that so many of a hundred stay below."""
    return quantiles(times, n=100, method="inclusive")[share - 1] if len(times) > 1 else times[0]

"""Whatever is pressed, clicked, pasted or resized, the screen stays up and the workshop stays sound.

`BUILDBOOK_MONKEY=20000` makes the monkey as busy as that; `BUILDBOOK_MONKEY_SEED` gives it another mind.
"""

from __future__ import annotations

import os
import random
from pathlib import Path

from textual import events

from buildbook.actions.workshop import Workshop
from buildbook.store.checkup import check
from tests.tui.conftest import Run, Sit

DEEDS = int(os.environ.get("BUILDBOOK_MONKEY", "200"))
SEED = int(os.environ.get("BUILDBOOK_MONKEY_SEED", "1"))
KEYS = (
    *("up", "down", "left", "right", "pageup", "pagedown", "home", "end", "enter", "escape", "space", "tab"),
    *("backspace", "delete", *"123456bnurysegoxdtkfmcpvlaiIKFPSCw="),
    *("plus", "slash", "colon", "question_mark", "minus", "full_stop", *"0789"),
)
# Leaving would end the game.
PASTED = (
    "[red]x[/]",
    "\x1b[31m4k7",
    "a\u202eb",
    "抵抗",
    "1e999",
    "R1-R100000",
    "=cmd()",
    "x" * 5000,
    "../../etc",
    "-3",
)
SIZES = ((80, 24), (120, 40), (20, 5), (200, 60), (36, 9), (80, 24))


def test_random_keys_clicks_and_sizes(run: Run, sit: Sit, at_demo: Path, tmp_path: Path, monkeypatch) -> None:  # type: ignore[no-untyped-def]
    monkeypatch.chdir(tmp_path)
    mind = random.Random(SEED)

    async def scene() -> None:
        async with sit(at_demo) as seat:
            for number in range(DEEDS):
                deed = mind.random()
                if deed < 0.02:
                    await seat.pilot.resize_terminal(*mind.choice(SIZES))
                elif deed < 0.06:
                    width, height = seat.app.size
                    await seat.pilot.click(offset=(mind.randrange(width), mind.randrange(height)))
                elif deed < 0.09:
                    seat.app.post_message(events.Paste(mind.choice(PASTED)))
                else:
                    await seat.pilot.press(mind.choice(KEYS))
                if number % 50 == 0:
                    await seat.pilot.pause()
            assert seat.app.is_running
            assert seat.app._exception is None

    run(scene())
    shop = Workshop(at_demo)
    try:
        assert [proof for proof in check(shop) if not proof.holds] == []
    finally:
        shop.close()

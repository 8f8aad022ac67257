"""The alarm of the screen: a wait that is over is told, wherever one is."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, datetime
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from buildbook.answers.bench import Waiting

OVER = {"dry": "is dry", "cure": "has cured", "soak": "has soaked", "cool": "has cooled", "charge": "is charged"}


class Alarm:
    """Rings once for each wait that ends while the screen is open."""

    def __init__(self) -> None:
        self._running: dict[tuple[str, int], Waiting] = {}

    def set(self, waits: Sequence[Waiting]) -> None:
        """The waits that run now."""
        self._running = {(one.build, one.step): one for one in waits}

    def rings(self, now: datetime | None = None) -> list[str]:
        """What is to be told of the waits that are over; each is told once."""
        minute = int((now or datetime.now(UTC)).timestamp()) // 60
        over = [key for key, one in self._running.items() if one.until <= minute]
        return [f"{one.name}: it {OVER.get(one.kind, 'may go on')}." for one in map(self._running.pop, over)]

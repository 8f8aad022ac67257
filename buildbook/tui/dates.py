"""The title line with the likely and the safe day of the finish, which are worked out beside everything else."""

from __future__ import annotations

from typing import TYPE_CHECKING

from textual.message import Message

from buildbook.errors import BuildbookError
from buildbook.tui.bars import TitleLine
from buildbook.tui.door import Door
from buildbook.tui.words import short_day

if TYPE_CHECKING:
    from buildbook.answers.finish import Dates


class DatedTitle(TitleLine):
    """The title, and behind the target the days that were foretold last."""

    target = ""
    build = ""

    class Foretold(Message):
        """The days are there, or there are none."""

        def __init__(self, build: str, dates: Dates | None) -> None:
            super().__init__()
            self.build = build
            self.dates = dates

    def title(self, left: str, target: str, build: str) -> None:
        """Draw these; what was foretold of this build stays until it is foretold anew."""
        foretold = self.right.removeprefix(self.target) if build == self.build else ""
        self.build, self.target = build, target
        self.show(left, target + foretold)

    def foretell(self, door: Door) -> None:
        """Work the days out in a thread; an older working out that is still under way is forgotten."""
        build = self.build

        def work_out() -> None:
            from buildbook.answers.finish import likely_and_safe

            try:
                dates = door.read(lambda shop: likely_and_safe(shop, build)) if build else None
            except BuildbookError:
                # The place itself tells what is wrong with the file.
                dates = None
            self.post_message(self.Foretold(build, dates))

        self.run_worker(work_out, thread=True, exclusive=True, group="foretell", exit_on_error=False)

    def on_dated_title_foretold(self, message: Foretold) -> None:
        """Put the days behind the target."""
        message.stop()
        if message.build == self.build:
            dates = message.dates
            said = f"likely {short_day(dates.likely_on)}, safe {short_day(dates.safe_on)}" if dates else ""
            self.show(self.left, f"{self.target}   {said}" if self.target and said else self.target or said)

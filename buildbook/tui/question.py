"""What stands before the frame until it is answered, and is answered once."""

from __future__ import annotations

from typing import TypeVar

from textual.await_complete import AwaitComplete
from textual.screen import ModalScreen

Found = TypeVar("Found")


class Question(ModalScreen[Found]):
    """A question or a sheet over the frame. Of two answers in one breath, as of a double click, the first counts."""

    def dismiss(self, result: Found | None = None) -> AwaitComplete:
        """Leave it, with what was found."""
        if self.app.screen is not self:
            return AwaitComplete()
        return super().dismiss(result)

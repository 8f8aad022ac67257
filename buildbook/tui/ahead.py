"""Keys typed faster than the screen: each is handed on when the one before it has been dealt with, so none is lost."""

from __future__ import annotations

import asyncio
from collections import deque
from typing import TYPE_CHECKING

from textual import events

if TYPE_CHECKING:
    from textual.dom import DOMNode
    from textual.message_pump import MessagePump

    from buildbook.tui.app import BuildbookApp

# Keys that move in the list whatever else is under way.
MOVES = frozenset(("up", "down", "left", "right", "pageup", "pagedown", "home", "end"))
# Keys that never wait: whoever wants to leave may leave.
LEAVING = frozenset(("ctrl+q", "ctrl+c"))
# A key is first taken by whoever has the keyboard; what that says of it is heard in a second round.
ROUNDS = 2
# How often to see whether a verb has come to its end or to a question, in seconds; and how long to wait for a widget
# that may be on its way out.
LOOK_S, PATIENCE_S = 0.005, 0.5

Typed = events.Key | events.Paste


class TypedAhead:
    """What was typed and is still to be dealt with, in its order."""

    def __init__(self, app: BuildbookApp) -> None:
        self._app = app
        self._waiting: deque[Typed] = deque()
        self._next: Typed | None = None
        self._turn: asyncio.Task[None] | None = None

    @property
    def at_rest(self) -> bool:
        """Whether everything typed has been dealt with."""
        return self._turn is None

    def may_pass(self, event: Typed) -> bool:
        """Whether it is the turn of this one. One that has to wait is handed to the application again later."""
        if event is not self._next:
            if isinstance(event, events.Key) and self._goes_before(event.key):
                return True
            if self._turn is not None:
                self._waiting.append(event)
                return False
        self._next = None
        self._turn = asyncio.create_task(self._see_through())
        return True

    def _goes_before(self, key: str) -> bool:
        """Whether a key waits for nothing: one that leaves, or that moves in the list while a verb is at work."""
        frame = self._app.frame
        at_work = self._app.screen is frame and frame.under_way
        return key in LEAVING or (key in MOVES and at_work and not self._waiting)

    async def _see_through(self) -> None:
        """Wait until the key has been dealt with; then it is the turn of the next."""
        for _ in range(ROUNDS):
            node: DOMNode = self._app.focused or self._app.screen
            for one in node.ancestors_with_self:
                await heard(one)
        while not self._ready():
            await asyncio.sleep(LOOK_S)
        if self._waiting:
            self._next = self._waiting.popleft()
            self._app.post_message(self._next)
        else:
            self._turn = None

    def _ready(self) -> bool:
        """Whether somebody is there to take a key: the frame with its rows and nothing under way, or a question."""
        screen = self._app.screen
        if screen is self._app.frame:
            return screen.panel.answered and not screen.under_way
        return screen.is_mounted and (screen.focused is not None or not screen.focus_chain)


async def heard(node: MessagePump) -> None:
    """Wait until a node has gone through all messages that it has now."""
    done = asyncio.Event()
    if node.call_later(done.set):
        try:
            await asyncio.wait_for(done.wait(), PATIENCE_S)
        except TimeoutError:
            # It was taken off the screen meanwhile.
            return

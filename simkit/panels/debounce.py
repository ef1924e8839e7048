"""Work that can wait in; it is done once the hand has come to rest, and not at all where another wish came first.

No thread: in a notebook the work is put off on the kernel's own event loop. Dragging needs no queue here: a widget in
the browser sends its next value when the last one was dealt with, and of those in between only the latest. Drawing
within the handler thus always draws the latest state; putting it off made the picture a whole redraw older.
"""

from __future__ import annotations

import asyncio
from collections.abc import Callable

SECONDS = 0.45


class Rest:
    """Something to do when nothing has happened for a while.

    Parameters
    ----------
    work
        What to do.
    seconds
        How long nothing must have happened [s].
    """

    def __init__(self, work: Callable[[], None], seconds: float = SECONDS) -> None:
        self._work, self._seconds = work, seconds
        self._waiting: asyncio.TimerHandle | None = None

    def wish(self) -> None:
        """Do it after the wait, counted from now; at once where no event loop runs (a script, a test)."""
        self.drop()
        try:
            loop = asyncio.get_running_loop()
        except RuntimeError:
            self._work()
            return
        self._waiting = loop.call_later(self._seconds, self._do)

    def drop(self) -> None:
        """Forget what was wished for."""
        if self._waiting is not None:
            self._waiting.cancel()
            self._waiting = None

    def _do(self) -> None:
        self._waiting = None
        self._work()

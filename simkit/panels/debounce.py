"""Work that can wait in; it is done once nothing has happened for a while, out. Known as debouncing.

No thread: in a notebook the work is put off on the kernel's own event loop. Dragging needs no queue here: a widget in
the browser sends its next value when the last one was dealt with, and of those in between only the latest. Drawing
within the handler thus always draws the latest state; putting it off made the picture a whole redraw older.
"""

from __future__ import annotations

import asyncio
from collections.abc import Callable

SECONDS = 0.45


class Debounced:
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

    def call(self) -> None:
        """Do it after the wait, counted from now; at once where no event loop runs (a script, a test)."""
        self.cancel()
        try:
            loop = asyncio.get_running_loop()
        except RuntimeError:
            self._work()
        else:
            self._waiting = loop.call_later(self._seconds, self._work)

    def cancel(self) -> None:
        """Forget what was put off."""
        if self._waiting is not None:
            self._waiting.cancel()
            self._waiting = None

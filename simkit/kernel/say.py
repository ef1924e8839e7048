"""A sentence in; one line on the error stream out, once in a process: the kernel has no face of its own."""

from __future__ import annotations

import sys
from contextlib import suppress
from functools import cache


@cache
def say_once(sentence: str) -> None:
    """Print a line on the error stream, once in a process: what the user should know, and no fault of theirs."""
    with suppress(OSError, ValueError, AttributeError):  # a stream that is full, closed or not there
        print(sentence, file=sys.stderr, flush=True)

"""What was worked out in; the same out as often as it is asked for: what is kept in memory, and how much.

Everything that is kept shares one budget of bytes: where all together hold too much, the function that holds most
forgets it all. What a lookup costs is what Python's own cache costs.
"""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterable
from functools import lru_cache, wraps
from threading import RLock
from typing import Any, ParamSpec, TypeVar, cast

import numpy as np

P = ParamSpec("P")
T = TypeVar("T")
K = TypeVar("K")
V = TypeVar("V")

MOST_IN_MEMORY = 80_000_000  # own: a home with its range fits in it, and a table of homes stays under 500 MiB in all
PER_VALUE = 1_000  # own: what a value's key and place take
PER_KEY = 10_000  # own: what a key takes that is made of the parts of a case
_lock = RLock()
_held: dict[Any, int] = {}


def memo(function: Callable[P, T]) -> Callable[P, T]:
    """Keep what a function of hashable values gives, as long as memory allows."""

    @wraps(function)
    def counted(*given: P.args, **named: P.kwargs) -> T:
        value = function(*given, **named)
        _count(held, PER_VALUE + bytes_of(value))
        return value

    held = lru_cache(maxsize=None)(counted)
    return cast(Callable[P, T], held)


def memo_of_last(count: int) -> Callable[[Callable[P, T]], Callable[P, T]]:
    """Keep what a function gave last, so many: of what grows after it was given, such as years that draw up tables."""
    return cast(Callable[[Callable[P, T]], Callable[P, T]], lru_cache(maxsize=count))


def _count(held: Any, size: int) -> None:
    """Count what a function holds more, and let the one that holds most forget it where all hold too much."""
    with _lock:
        _held[held] = _held.get(held, 0) + size
        while sum(_held.values()) > MOST_IN_MEMORY:
            most: Any = max(_held, key=lambda one: _held[one])
            _held[most] = 0
            most.cache_clear()


class Known(dict[K, V]):
    """What was found of many things together, by all that it depends on: kept, and forgotten, like all else."""

    __hash__ = object.__hash__  # type: ignore[assignment]
    cache_clear = dict.clear

    def keep(self, key: K, value: V) -> V:
        """Keep a value, and give it back."""
        self[key] = value
        _count(self, PER_KEY)
        return value


def bytes_of(value: Any, seen: set[int] | None = None) -> int:
    """About how much memory a value takes, with all that it is made of [bytes]; what stands in it twice counts once."""
    seen = set() if seen is None else seen
    if id(value) in seen or isinstance(value, type):
        return 0
    seen.add(id(value))
    if isinstance(value, np.ndarray):
        return int(value.nbytes)
    if hasattr(value, "memory_usage"):  # a frame or a series
        return int(np.sum(value.memory_usage()))
    if isinstance(value, dict):
        parts: Iterable[Any] = value.values()
    elif isinstance(value, tuple | list | set | frozenset):
        parts = value
    else:
        parts = getattr(value, "__dict__", {}).values()
    return sys.getsizeof(value) + sum(bytes_of(part, seen) for part in parts)

"""Homes with their series in, one table out: the one gate of the kernel, which aligns, checks, packs and copies.

Past this gate the kernel trusts its input. Two homes that share a series (the same array object) share its row in the
table; a series that all homes of a block share costs the kernel one load a step.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from simkit.physics.records import Home, Now, State


@dataclass(frozen=True, eq=False)
class HomeInputs:
    """All that the kernel is told about one home.

    Parameters
    ----------
    home
        Constants; the step response in it belongs to the step length used.
    start
        State at the start of the run-in.
    series
        One array of shape (steps,) for each field of `Now`, float, finite.
    """

    home: Home
    start: State
    series: dict[str, np.ndarray]


class Packed(NamedTuple):
    """What many homes are told: the `table` of all series, (rows, steps); `rows` (series, homes), who reads which;
    `constants` and `state`, (fields, homes); and the `order` in which homes stand best side by side, (homes,).
    """

    table: np.ndarray
    rows: np.ndarray
    constants: np.ndarray
    state: np.ndarray
    order: np.ndarray


def pack_one(home: HomeInputs, steps: int) -> np.ndarray:
    """Check a single home's series and lay them one after the other, flat, item × steps + step.

    Raises
    ------
    ValueError
        As `pack`.
    """
    return np.concatenate([_checked(home.series[name], name, steps) for name in Now._fields])


def alike(one: HomeInputs, other: HomeInputs) -> bool:
    """Whether the kernel can't tell two homes apart: then one of them is enough."""
    if one.home != other.home or one.start != other.start:
        return False
    return all(one.series[name] is s or np.array_equal(one.series[name], s) for name, s in other.series.items())


def pack(homes: Sequence[HomeInputs], steps: int) -> Packed:
    """Check every series and lay all of them one below the other.

    Homes that share their series stand together in the order: what the lanes of a block share is read once.

    Raises
    ------
    ValueError
        Where a series is missing, has another length than the time axis or holds a value that is not finite: that is a
        defect of the caller, not of the user's input, which was validated before.
    """
    rows = np.empty((len(Now._fields), len(homes)), dtype=np.int64)
    parts: list[np.ndarray] = []
    for c, name in enumerate(Now._fields):
        places: dict[int, int] = {}
        for i, home in enumerate(homes):
            array = home.series[name]
            if id(array) not in places:
                places[id(array)] = len(parts)
                parts.append(_checked(array, name, steps))
            rows[c, i] = places[id(array)]
    return Packed(
        np.array(parts),
        rows,
        np.array([one.home for one in homes], dtype=np.float64).T,
        np.array([one.start for one in homes], dtype=np.float64).T,
        np.lexsort(rows[::-1]),
    )


def pack_courses(home: HomeInputs, courses: Sequence[dict[str, np.ndarray]], steps: int) -> Packed:
    """Pack one home as many times as there are courses, each with some series of its own.

    Parameters
    ----------
    home
        The home, and the series that a course leaves as they are.
    courses
        Series by name that take the place of the home's, (steps,) each.
    steps
        Length of the series.

    Raises
    ------
    ValueError
        As `pack`.
    """
    count, parts = len(courses), [_checked(home.series[name], name, steps) for name in Now._fields]
    places = {name: place for place, name in enumerate(Now._fields)}
    rows = np.repeat(np.arange(len(parts), dtype=np.int64)[:, None], count, axis=1)
    for i, course in enumerate(courses):
        for name, array in course.items():
            rows[places[name], i] = len(parts)
            parts.append(_checked(array, name, steps))
    constants, state = (
        np.repeat(np.array(values, dtype=np.float64)[:, None], count, axis=1) for values in (home.home, home.start)
    )
    return Packed(np.array(parts), rows, constants, state, np.arange(count))


def _checked(array: np.ndarray, name: str, steps: int) -> np.ndarray:
    """Return a finite float64 array of the right length, copied to C order only where it must be."""
    made = np.ascontiguousarray(array, dtype=np.float64)
    if made.shape != (steps,):
        raise ValueError(f"series {name} has shape {made.shape}, the time axis has {steps} steps")
    if not np.isfinite(made).all():
        raise ValueError(f"series {name} holds values that are not finite")
    return made

"""Homes with their series in, packed blocks out: the one gate of the kernel, which aligns, checks, packs and copies.

Past this gate the kernel trusts its input. Two homes that share a series (the same array object) share its row in the
table; a series that all homes of a call share costs the kernel one load a step.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from simkit.kernel.kernel import flat
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
    """A call's tables and blocks: `rows`, `homes` and `state` have one entry per block of lanes."""

    table: np.ndarray
    starts: np.ndarray
    widths: np.ndarray
    rows: list[np.ndarray]
    homes: list[np.ndarray]
    state: list[np.ndarray]
    steps: int


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


def pack(homes: Sequence[HomeInputs], steps: int, lanes: int) -> Packed:
    """Check every series and pack the homes into blocks of `lanes`.

    Raises
    ------
    ValueError
        Where a series is missing, has another length than the time axis or holds a value that is not finite: that is a
        defect of the caller, not of the user's input, which was validated before.
    """
    parts, starts, widths = [], [], []
    numbers = np.zeros((len(homes), len(Now._fields)), dtype=np.int64)
    offset = 0
    for c, name in enumerate(Now._fields):
        versions: dict[int, np.ndarray] = {}
        places: dict[int, int] = {}
        for i, home in enumerate(homes):
            array = home.series[name]
            if id(array) not in places:
                places[id(array)] = len(places)
                versions[id(array)] = _checked(array, name, steps)
            numbers[i, c] = places[id(array)]
        made = list(versions.values())
        parts.append(made[0] if len(made) == 1 else np.stack(made, axis=1).ravel())
        starts.append(offset)
        widths.append(len(made))
        offset += len(made) * steps
    blocks = [range(i, min(i + lanes, len(homes))) for i in range(0, len(homes), lanes)]
    return Packed(
        np.concatenate(parts),
        np.array(starts, dtype=np.int64),
        np.array(widths, dtype=np.int64),
        [_rows(numbers[block.start : block.stop], lanes) for block in blocks],
        [flat([homes[i].home for i in block], lanes) for block in blocks],
        [flat([homes[i].start for i in block], lanes) for block in blocks],
        steps,
    )


def _rows(numbers: np.ndarray, lanes: int) -> np.ndarray:
    """Row numbers of a block, item × lanes + lane; spare lanes repeat the first."""
    spare = np.repeat(numbers[:1], lanes - len(numbers), axis=0)
    return np.ascontiguousarray(np.concatenate([numbers, spare]).T).ravel()


def _checked(array: np.ndarray, name: str, steps: int) -> np.ndarray:
    """Return a finite float64 array of the right length, copied to C order only where it must be."""
    made = np.ascontiguousarray(array, dtype=np.float64)
    if made.shape != (steps,):
        raise ValueError(f"series {name} has shape {made.shape}, the time axis has {steps} steps")
    if not np.isfinite(made).all():
        raise ValueError(f"series {name} holds values that are not finite")
    return made

"""When things are used, in; their course through a year of short blocks out: passes that add up in NumPy's order."""

from __future__ import annotations

import numpy as np

from simkit.kernel.compiled import as_written

AT_ONCE = 128  # quarter-hours: what is worked out of them stays near at hand
GUIDES = 4096  # places of a running sum that are looked up; what lies between is walked


@as_written
def summed(weight: np.ndarray, per: int) -> tuple[np.ndarray, np.ndarray]:
    """Running sum over blocks, so many of each weight, (per × n,), and where its 4096ths are reached, (4096,)."""
    spread, guide = np.empty(len(weight) * per), np.empty(GUIDES)
    total = 0.0
    for k in range(len(weight)):
        for block in range(k * per, k * per + per):
            total += weight[k]
            spread[block] = total
    block = 0
    for k in range(GUIDES):
        while spread[block] < total * k / GUIDES:
            block += 1
        guide[k] = block
    return spread, guide


@as_written
def laid(
    made: np.ndarray, where: tuple[np.ndarray, np.ndarray], at: np.ndarray, moved: np.ndarray, size: np.ndarray,
    shape: np.ndarray,
) -> np.ndarray:  # fmt: skip
    """Add uses to what is made in each block, and give it back, (blocks,).

    Parameters
    ----------
    made
        What is there; changed.
    where
        What `summed` gave.
    at, moved, size
        Share of the sum at which each use falls, from 0 to under 1, by how many blocks it is moved, and how large it
        is, (uses,) each.
    shape
        What a use of size 1 takes in its blocks; their middle falls there.
    """
    spread, guide = where
    count, half = len(spread), len(shape) // 2
    total = spread[count - 1]
    for use in range(len(at)):
        sought = total * at[use]
        place = int(guide[int(at[use] * GUIDES)])
        while place > 0 and spread[place - 1] >= sought:
            place -= 1
        while place < count - 1 and spread[place] < sought:
            place += 1
        place += int(moved[use]) - half
        for block in range(len(shape)):
            made[(place + block) % count] += size[use] * shape[block]
    return made


@as_written
def split_by_day(mean: np.ndarray, per_day: int, share: float) -> tuple[np.ndarray, np.ndarray]:
    """A share of the least of each day, and what is left over it, (n,) each."""
    always, rest = np.empty(len(mean)), np.empty(len(mean))
    for first in range(0, len(mean), per_day):
        last = min(first + per_day, len(mean))
        least = mean[first]  # not by the array's own method, which loads 0.3 s of linear algebra with the compiled code
        for k in range(first + 1, last):
            least = min(least, mean[k])
        for k in range(first, last):
            always[k], rest[k] = share * least, mean[k] - share * least
    return always, rest


@as_written
def with_the_rest(
    switched: np.ndarray, always: np.ndarray, rest: np.ndarray, people: np.ndarray, uses: np.ndarray,
    of_one_use: np.ndarray, fridge: tuple[float, float, float],
) -> np.ndarray:  # fmt: skip
    """What is switched on, with a refrigerator and with what wanders with the people, (blocks,).

    Parameters
    ----------
    switched
        What appliances take in each block.
    always, rest, people
        What always runs, the mean load over it, and how much goes on, (n,) each, n a divisor of the blocks.
    uses, of_one_use
        How often each appliance is switched on, and what one use takes on average in each block, (appliances, blocks).
    fridge
        Cycles in a block, where in a cycle the year begins, and the share of a cycle in which it runs.
    """
    count, per = len(switched), len(switched) // len(rest)
    cycles, begin, on = fridge
    made, expected = np.empty(count), np.empty(AT_ONCE * per)
    for first in range(0, len(rest), AT_ONCE):
        last = min(first + AT_ONCE, len(rest))
        expected[:] = 0.0
        for one in range(len(uses)):
            often, of_one = uses[one], of_one_use[one, first * per : last * per]
            for block in range(len(of_one)):
                expected[block] += often * of_one[block]
        for k in range(first, last):
            for block in range(k * per, k * per + per):
                place = cycles * block + begin
                runs = 1.0 / on if place - np.floor(place) < on else 0.0
                more = max(rest[k] - expected[block - first * per], 0.0) * people[k]
                made[block] = always[k] * (0.5 + 0.5 * runs) + switched[block] + more
    return made


@as_written
def means_and_peaks(fine: np.ndarray, per: int) -> tuple[np.ndarray, np.ndarray]:
    """Sum and highest of so many blocks each, (blocks / per,) each; sums in NumPy's order, up to 15 blocks."""
    sums, peaks = np.empty(len(fine) // per), np.empty(len(fine) // per)
    for k in range(len(sums)):
        of = fine[k * per : k * per + per]
        total, highest, first = 0.0, of[0], 0
        if per >= 8:
            total, first = ((of[0] + of[1]) + (of[2] + of[3])) + ((of[4] + of[5]) + (of[6] + of[7])), 8
        for block in range(first, per):
            total += of[block]
        for block in range(1, per):
            highest = max(highest, of[block])
        sums[k], peaks[k] = total, highest
    return sums, peaks

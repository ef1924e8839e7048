"""Room and outdoor temperature of one night without heating in; time constant and heat loss out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import pandas as pd
from scipy.optimize import brentq, least_squares

from simkit.answered import Answered
from simkit.arrays import Floats
from simkit.assemble.building import air_saved_w_per_k, shell
from simkit.case.case import Case
from simkit.errors import CaseError, DataError, Fault
from simkit.meter.reading.reading import Readings

SETTLE_HOURS = 2.0  # own: air, furnishings and emitters give up their own heat first
LEAST_HOURS, LEAST_FALL_K = 5.0, 0.5
LONGEST_HOURS = 30.0
CAPACITY_SD = 0.27  # own: capacity classes of EN ISO 13790 are a factor of 1.5 apart: half a class either way
GAIN_SD_W = 100.0  # own: sleeping people, refrigerator, standby
NORMAL_90 = 1.645


@dataclass(frozen=True)
class CoolDown(Answered):
    """One night without heating.

    Attributes
    ----------
    hours, low_hours, high_hours
        Time constant of the slow part of the building, and its 90 % interval [h].
    loss_w_per_k, low_loss, high_loss
        Heat loss that goes with it for the home's capacity class [W/K].
    fall_k, night_hours
        Fall of the room temperature and length of the night that were used [K], [h].
    misfit_k
        Root mean square distance of the curve [K].
    least_c
        Lowest room temperature of the night [°C].
    case
        The home.
    """

    answered_by = "simkit.answers.meter.cooldown:cooldown_answer"

    hours: float
    low_hours: float
    high_hours: float
    loss_w_per_k: float
    low_loss: float
    high_loss: float
    fall_k: float
    night_hours: float
    misfit_k: float
    least_c: float
    case: Case


def cool_down(room_c: pd.Series, outdoor_c: pd.Series, case: Case, *, gain_w: float = 250.0) -> CoolDown:
    """Find time constant and heat loss from one logged night.

    Parameters
    ----------
    room_c, outdoor_c
        Temperatures by time, from switching the heating off to switching it on [°C].
    case
        The home: floor area, capacity class and the way its heat is lost.
    gain_w
        Heat of people and appliances during the night [W].

    Notes
    -----
    After the first two hours the room follows the slow part of the building: dT/dt = (T_out + gain/H − T)/τ. τ and the
    start are fitted; H follows from τ by the two-node building's slow rate, its capacity that of the class, and is put
    back until both agree.

    Raises
    ------
    DataError
        Where the night is too short, or the rooms fell too little.
    """
    log = pd.DataFrame({"room": room_c, "out": outdoor_c.reindex(room_c.index, method="nearest")}).dropna()
    hours = np.asarray((log.index - log.index[0]) / pd.Timedelta(hours=1), dtype=np.float64)
    used = hours >= SETTLE_HOURS
    t, room, out = hours[used], log["room"].to_numpy()[used], log["out"].to_numpy()[used]
    fall = float(room[0] - room[-1]) if len(room) else 0.0
    if len(t) < 6 or t[-1] - t[0] < LEAST_HOURS or fall < LEAST_FALL_K:
        given = f"{(t[-1] - t[0]) if len(t) else 0:.1f} hours in which the rooms fell by {fall:.1f} K"
        needed = f"{LEAST_HOURS:g} hours and {LEAST_FALL_K:g} K are needed"
        allowed = f"say too little: after the first {SETTLE_HOURS:g} hours, {needed}"
        raise DataError(
            Fault(
                "cool-down night",
                given,
                allowed,
                "Choose a colder night and begin in the evening, rooms staying over 18 °C",
            )
        )
    loss, tau, spread, misfit = _agreed(t, room, out, case, gain_w)
    low, high = tau * np.exp(-NORMAL_90 * spread), tau * np.exp(NORMAL_90 * spread)
    wide = (spread**2 + CAPACITY_SD**2 + (GAIN_SD_W / loss / max(float(np.mean(room - out)), 1.0)) ** 2) ** 0.5
    return CoolDown(
        tau, float(low), float(high), loss, loss * float(np.exp(-NORMAL_90 * wide)),
        loss * float(np.exp(NORMAL_90 * wide)),
        fall, float(t[-1] - t[0]), misfit, float(log["room"].min()), case,
    )  # fmt: skip


def night_of(
    readings: Sequence[Readings], *, since: str | None = None, until: str | None = None
) -> tuple[pd.Series, pd.Series, tuple[str, ...]]:
    """Room and outdoor temperature of one night out of a logger's files, and what was chosen.

    Parameters
    ----------
    readings
        Files with `room_c` and `outdoor_c`.
    since, until
        Local times of switching off and on; None takes the time from the warmest reading to the coldest after it.

    Raises
    ------
    DataError
        Where a temperature is missing, a time can't be read, or the file holds more than one night.
    """
    room, outdoor = (_logged(readings, name) for name in ("room_c", "outdoor_c"))
    zone = readings[0].zone
    first, last = (_instant(text, zone, name) for text, name in ((since, "--from"), (until, "--until")))
    room = room[(room.index >= (first or room.index[0])) & (room.index <= (last or room.index[-1]))]
    hours = float((room.index[-1] - room.index[0]) / pd.Timedelta(hours=1)) if len(room) else 0.0
    if hours > LONGEST_HOURS:
        given = f"{hours:.0f} hours"
        allowed = f"are more than one night of {LONGEST_HOURS:g} hours"
        remedy = 'Say which one: --from "2026-01-20 22:00" --until "2026-01-21 07:00"'
        raise DataError(Fault("cool-down night", given, allowed, remedy))
    notes: tuple[str, ...] = ()
    if since is None and len(room):
        room = room[room.idxmax() :]
        room = room[: room.idxmin()]
        span = [stamp.tz_convert(zone).strftime("%Y-%m-%d %H:%M") for stamp in (room.index[0], room.index[-1])]
        notes = (f"Taken from the warmest reading to the coldest after it, {span[0]} to {span[1]} local time.",)
    return room, outdoor, notes


def _logged(readings: Sequence[Readings], name: str) -> pd.Series:
    for one in readings:
        if name in one.quantities:
            return one.frame[name].dropna()
    what = "room" if name == "room_c" else "outdoor"
    remedy = f'Log the {what} temperature too, or say its column in a mapping: columns.{name}.column = ".."'
    raise DataError(Fault("cool-down night", f"no {what} temperature", "is in the files, and both are needed", remedy))


def _instant(text: str | None, zone: str, name: str) -> pd.Timestamp | None:
    if text is None:
        return None
    try:
        return pd.Timestamp(text).tz_localize(zone, ambiguous=True, nonexistent="shift_forward").tz_convert("UTC")
    except (ValueError, TypeError):
        raise CaseError(Fault("", f"{name} {text}", "is no local time", "Write for example 2026-01-20 22:00")) from None


def _agreed(t: Floats, room: Floats, out: Floats, case: Case, gain_w: float) -> tuple[float, float, float, float]:
    """Loss [W/K] and time constant [h] that go together, the spread of its logarithm, the misfit [K]."""
    loss = 200.0
    tau = spread = misfit = 0.0
    for _ in range(20):
        tau, spread, misfit = _curve(t, room, out + gain_w / loss)
        before, loss = loss, loss_of_time_constant(case, tau)
        if abs(loss / before - 1.0) < 1e-4:
            break
    return loss, tau, spread, misfit


def _curve(t: Floats, room: Floats, towards: Floats) -> tuple[float, float, float]:
    """Fit time constant and start: hours, spread of its logarithm, misfit."""
    step = np.diff(t)

    def course(x: Floats) -> Floats:
        made = np.empty(len(t))
        made[0] = x[1]
        kept = np.exp(-step / np.exp(x[0]))
        for k in range(len(step)):
            made[k + 1] = towards[k] + (made[k] - towards[k]) * kept[k]
        return made

    done = least_squares(
        lambda x: course(x) - room, np.array([np.log(40.0), room[0]]), bounds=([0.0, -50.0], [7.0, 60.0])
    )
    left = np.asarray(done.fun)
    misfit = float(np.mean(left**2) ** 0.5)
    rho = float(np.clip((left[1:] * left[:-1]).sum() / max(float((left**2).sum()), 1e-12), 0.0, 0.98))
    effective = max(len(t) * (1.0 - rho) / (1.0 + rho), 3.0)
    variance = max(misfit, 0.02) ** 2 * len(t) / max(effective - 2.0, 1.0)
    covariance = np.linalg.inv(done.jac.T @ done.jac) * variance
    return float(np.exp(done.x[0])), float(covariance[0, 0] ** 0.5), misfit


def time_constant_h(case: Case, loss_w_per_k: float) -> float:
    """Slow time constant of the two-node building without heating [h]."""
    house = shell(case.home, loss_w_per_k, case.emitters.mass_share, 1.0, air_saved_w_per_k(case))
    a, f = house.air_kwh_per_k, house.fabric_kwh_per_k
    matrix = np.array(
        [
            [-(house.coupling_kw_per_k + house.air_side_kw_per_k) / a, house.coupling_kw_per_k / a],
            [house.coupling_kw_per_k / f, -(house.coupling_kw_per_k + house.fabric_side_kw_per_k) / f],
        ]
    )
    return float(-1.0 / np.max(np.linalg.eigvals(matrix).real))


def loss_of_time_constant(case: Case, hours: float) -> float:
    """Heat loss [W/K] of the case's building with which it cools with this time constant [h]."""
    low, high = 5.0, 3000.0
    slowest, fastest = time_constant_h(case, low), time_constant_h(case, high)
    if not fastest < hours < slowest:
        return low if hours >= slowest else high
    return float(brentq(lambda loss: time_constant_h(case, loss) - hours, low, high, rtol=1e-6))

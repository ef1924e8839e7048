"""A simulated year in; what was said of its home that parses and yet can hardly be meant, one question each, out.

Nothing here is an error: a glass house, a year of war prices, a workshop in the cellar are true somewhere. Each bound
is far outside what homes were found to have (own), and each question names the value that is likely meant.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

import numpy as np

from simkit.arrays import Floats
from simkit.case.heating.boiler import FUELS_BOUGHT
from simkit.solar.sun import clear_sky_w_m2, sun_position
from simkit.tariff.prices import DEAREST_PER_KWH

if TYPE_CHECKING:
    from simkit.year.year import Year

PRICE_OF_DEAREST = (1 / 50, 1 / 3)  # electricity, of the price above which a file is refused: 4 to 67 cents of a euro
FUEL_OF_DEAREST = (1 / 150, 1 / 8)
LOSS_W_PER_K_M2 = (0.15, 6.0)
HOUSEHOLD_KWH, USUAL_HOUSEHOLD_KWH = (300.0, 15_000.0), (1_000.0, 6_000.0)
WEEK_DAYS = 7
OTHER_UNIT, OTHER_SUN, OTHER_K = 5.0, 2.2, 18.0  # a lasting step from one month to the next: factor, factor, kelvin
ALIKE = 3.0  # how far the months on either side of such a step may differ among themselves, as a factor
SKY_OFF, HIGH_SUN = 0.15, 0.26  # share of the radiation; sine of 15 degrees
FACTORS = (0.1, 0.01, 0.001, 10.0, 100.0, 1000.0)


def likely(value: float, usual: tuple[float, float]) -> float | None:
    """What is meant where a point was set wrong or a unit taken for another; None where nothing lands in `usual`."""
    return next((value * factor for factor in FACTORS if usual[0] <= value * factor <= usual[1]), None)


def electricity_price(year: Year) -> str | None:
    """Electricity that costs what it costs nowhere."""
    return _price(year, "Electricity", float(year.setting.signal.import_per_kwh.mean()), PRICE_OF_DEAREST)


def fuel_price(year: Year) -> str | None:
    """Fuel that costs what it costs nowhere."""
    fuel = year.case.fuel
    if fuel is None or fuel.kind not in FUELS_BOUGHT or not fuel.kwh_per_unit or fuel.price_per_unit is None:
        return None
    return _price(year, "The fuel", fuel.price_per_unit / fuel.kwh_per_unit, FUEL_OF_DEAREST)


def heat_loss(year: Year) -> str | None:
    """A heat loss by floor area that hardly any building has."""
    number, area = year.case.notation.number, year.case.home.floor_area_m2
    each, (low, high) = year.loss_w_per_k / area, LOSS_W_PER_K_M2
    if low <= each <= high:
        return None
    meant = likely(each, (0.4, 4.0))
    perhaps = "" if meant is None else f": perhaps {number(meant * area)} W/K is meant, or another floor area"
    return (
        f"A heat loss of {number(year.loss_w_per_k)} W/K over {number(area)} m² is {number(each, 2)} W/K for each "
        f"square metre, and homes have {number(low, 2)} to {number(high)}{perhaps}."
    )


def household_use(year: Year) -> str | None:
    """A household that uses what a workshop does, or next to nothing."""
    number, kwh, (low, high) = year.case.notation.number, year.run.totals.household, HOUSEHOLD_KWH
    if kwh <= 0.0 or low <= kwh <= high:
        return None
    meant = likely(kwh, USUAL_HOUSEHOLD_KWH)
    perhaps = "" if meant is None else f": perhaps {number(meant)} kWh is meant"
    return f"The household alone uses {number(kwh)} kWh a year, far from what households use{perhaps}."


def zeros(year: Year) -> str | None:
    """A week or more of zeros in something that is never zero for a week."""
    case, per_day = year.case, round(24 / year.axis.hours)
    series: list[tuple[str, np.ndarray]] = [("The price of electricity", year.setting.signal.import_per_kwh == 0.0)]
    if case.weather.file is not None:
        clear, ghi = _clear(year), _weather(year, "ghi_w_m2")
        series += [(f"The temperature in {case.weather.file}", _weather(year, "outdoor_c") == 0.0)]
        series += [(f"The sun in {case.weather.file}", (ghi == 0.0) & (_daily(year, clear)[year.axis.day] > 0.0))]
    if case.household.file is not None:
        series += [(f"The load in {case.household.file}", year.flow("household") == 0.0)]
    for what, zero in series:
        first, length = _longest(zero)
        if length >= WEEK_DAYS * per_day and not zero.all():
            when = case.notation.date(year.axis.dates[year.axis.day[first]].item())
            return f"{what} is zero for {length // per_day} days from {when} on: perhaps it is missing there."
    return None


def other_unit(year: Year) -> str | None:
    """A part of a series that is likely in another unit than the rest."""
    case = year.case
    found = [_step(year, "The price of electricity", _monthly(year, year.setting.signal.import_per_kwh), OTHER_UNIT)]
    if case.household.file is not None:
        found += [_step(year, f"The load in {case.household.file}", _monthly(year, year.flow("household")), OTHER_UNIT)]
    if case.weather.file is not None:
        found += [_step(year, f"The sun in {case.weather.file}", _clearest(year), OTHER_SUN), _warmer(year)]
    return next((words for words in found if words is not None), None)


def sky(year: Year) -> str | None:
    """Radiation on the level that is not what its two parts make."""
    if year.case.weather.file is None:
        return None
    height = sun_position(year.axis, *_place(year)).height
    total, beam, diffuse = (_weather(year, name) for name in ("ghi_w_m2", "dni_w_m2", "dhi_w_m2"))
    high = height > HIGH_SUN
    made = beam * height + diffuse
    if total[high].sum() <= 0.0 or np.abs(total - made)[high].sum() <= SKY_OFF * total[high].sum():
        return None
    level = np.abs(total - beam - diffuse)[high].sum() < SKY_OFF * total[high].sum()
    perhaps = "the direct part is that on the level" if level else "one of the three is in another column or unit"
    return (
        f"In {year.case.weather.file} the sun on the level is not its direct part by height and its diffuse part: "
        f"perhaps {perhaps}."
    )


def _price(year: Year, what: str, price: float, shares: tuple[float, float]) -> str | None:
    dearest, written = DEAREST_PER_KWH.get(year.case.currency), year.case.notation.price
    if dearest is None or price <= 0.0:
        return None
    low, high = (share * dearest for share in shares)
    if low <= price <= high:
        return None
    meant = likely(price, (2.0 * low, high / 1.5))
    perhaps = "" if meant is None else f": perhaps {written(meant)} is meant"
    return f"{what} costs {written(price)} in the mean, and {written(low)} to {written(high)} is usual{perhaps}."


def _place(year: Year) -> tuple[float, float]:
    return year.case.site.latitude_deg, year.case.site.longitude_deg


def _weather(year: Year, name: str) -> Floats:
    return year.setting.weather.frame[name].to_numpy(np.float64)


def _clear(year: Year) -> Floats:
    return clear_sky_w_m2(sun_position(year.axis, *_place(year)))


def _daily(year: Year, values: Floats) -> Floats:
    return np.asarray(np.bincount(year.axis.day, weights=values), dtype=np.float64)


def _months(year: Year) -> np.ndarray:
    """Month of each step, 0 to 11, (steps,)."""
    return year.axis.dates.astype("datetime64[M]").astype(np.int64)[year.axis.day] % 12


def _monthly(year: Year, values: Floats) -> Floats:
    """Mean of each month, (12,); of a month with no step not a number."""
    month = _months(year)
    return np.array([values[month == k].mean() if (month == k).any() else np.nan for k in range(12)])


def _clearest(year: Year) -> Floats:
    """The clearest days of each month against a cloudless sky, (12,); not a number where the sun hardly rises."""
    clear, total = _daily(year, _clear(year)), _daily(year, _weather(year, "ghi_w_m2"))
    month = year.axis.dates.astype("datetime64[M]").astype(np.int64) % 12
    bright = clear > 0.05 * clear.max()
    return np.array([
        np.quantile(total[those] / clear[those], 0.9) if (those := bright & (month == k)).sum() > 9 else np.nan
        for k in range(12)
    ])  # fmt: skip


def _longest(zero: np.ndarray) -> tuple[int, int]:
    """Where the longest run of true begins, and how long it is."""
    edges = np.flatnonzero(np.diff(np.concatenate([[False], zero, [False]]).astype(np.int8)))
    if not len(edges):
        return 0, 0
    lengths = edges[1::2] - edges[::2]
    k = int(np.argmax(lengths))
    return int(edges[2 * k]), int(lengths[k])


def _step(year: Year, what: str, monthly: Floats, most: float) -> str | None:
    """Words where two or more months on one side of a step lie `most` times above those on the other side."""
    known = np.flatnonzero(np.isfinite(monthly) & (monthly > 0.0))
    values = monthly[known]
    for k in range(2, len(known) - 1):
        before, after = values[:k], values[k:]
        factor = float(np.median(after) / np.median(before))
        even = max(before.max() / before.min(), after.max() / after.min()) < ALIKE
        if even and max(factor, 1.0 / factor) >= most:
            by = f"{year.case.notation.brief(max(factor, 1.0 / factor), 1)} times"
            return _words(year, what, int(known[k]), by, up=factor > 1.0)
    return None


def _warmer(year: Year) -> str | None:
    """Words where the temperature rises or falls from one month to the next as it does nowhere."""
    change = np.diff(_monthly(year, _weather(year, "outdoor_c")))
    k = int(np.nanargmax(np.abs(change)))
    if abs(change[k]) < OTHER_K:
        return None
    by = f"{year.case.notation.number(abs(change[k]))} K"
    return _words(year, f"The temperature in {year.case.weather.file}", k + 1, by, up=bool(change[k] > 0.0))


def _words(year: Year, what: str, month: int, by: str, *, up: bool) -> str:
    when = f"{year.axis.dates[0].item().year}-{month + 1:02d}"
    return f"{what} is {by} {'higher' if up else 'lower'} from {when} on: perhaps one part of it is in another unit."


FAR_OFF = "bounds of simkit's own, far outside what is met"
DOUBTS: tuple[tuple[str, Callable[[Year], str | None], str], ...] = (
    ("price of electricity", electricity_price, "your supplier, or look at a bill"),
    ("price of fuel", fuel_price, "your supplier, or look at a bill"),
    ("heat loss", heat_loss, "an energy assessor"),
    ("household", household_use, "your supplier, or look at a bill"),
    ("zeros", zeros, "whoever made that file"),
    ("unit", other_unit, "whoever made that file"),
    ("sky", sky, "whoever made that file"),
)

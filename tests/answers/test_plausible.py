"""What parses and can hardly be meant is asked about once, with the likely value; what is usual is not."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest
from homes import NAMES, changed, sample

from simkit.answers.cautions import cautions_for
from simkit.answers.doubts import plausible
from simkit.kernel.run import COLUMNS
from simkit.solar.sun import sun_position
from simkit.year.simulate import simulate
from simkit.year.year import Year

DOUBTS = (
    plausible.electricity_price, plausible.fuel_price, plausible.heat_loss, plausible.household_use, plausible.zeros,
    plausible.other_unit, plausible.sky,
)  # fmt: skip
Change = Callable[[np.ndarray], np.ndarray]


@pytest.fixture(scope="module")
def year() -> Year:
    """A year whose weather and household are said to be files; nothing of it is doubted."""
    made = simulate(changed("canal_terrace"))
    kept = {
        name: getattr(made.case, name).model_copy(update={"file": f"{name}.csv"}) for name in ("weather", "household")
    }
    return replace(made, case=made.case.model_copy(update=kept))


def priced(year: Year, change: Change) -> Year:
    signal = replace(year.setting.signal, import_per_kwh=change(year.setting.signal.import_per_kwh.copy()))
    return replace(year, setting=replace(year.setting, signal=signal))


def weathered(year: Year, name: str, change: Change) -> Year:
    weather = year.setting.weather
    frame = weather.frame.assign(**{name: change(weather.frame[name].to_numpy(copy=True))})
    return replace(year, setting=replace(year.setting, weather=replace(weather, frame=frame)))


def used(year: Year, change: Change) -> Year:
    trace = year.run.trace.copy()
    trace[:, COLUMNS["household"]] = change(trace[:, COLUMNS["household"]])
    total = float(trace[:, COLUMNS["household"]].sum() * year.axis.hours)
    return replace(year, run=replace(year.run, trace=trace, totals=year.run.totals._replace(household=total)))


def times(factor: float, share: slice | None = None) -> Change:
    def change(values: np.ndarray) -> np.ndarray:
        values[share or slice(None)] *= factor
        return values

    return change


def days(year: Year, first: int, last: int) -> slice:
    return slice(round(first * 24 / year.axis.hours), round(last * 24 / year.axis.hours))


def test_nothing_usual_is_doubted(year: Year) -> None:
    assert [doubt(year) for doubt in DOUBTS] == [None] * len(DOUBTS)
    for name in NAMES:
        made = simulate(sample(name))
        assert [doubt(made) for doubt in DOUBTS] == [None] * len(DOUBTS)


@pytest.mark.parametrize("factor", [10.0, 0.1, 0.01, 1000.0])
def test_a_price_in_another_unit_is_asked_about(year: Year, factor: float) -> None:
    said = str(plausible.electricity_price(priced(year, times(factor))))
    meant = year.case.notation.price(float(year.setting.signal.import_per_kwh.mean()))
    assert said.endswith(f"perhaps {meant} is meant.")


def test_fuel_in_another_unit_is_asked_about(year: Year) -> None:
    fuel = year.case.fuel
    assert fuel is not None
    dear = fuel.model_copy(update={"price_per_unit": 100.0 * float(fuel.price_per_unit or 0.0)})
    said = str(plausible.fuel_price(replace(year, case=year.case.model_copy(update={"fuel": dear}))))
    meant = year.case.notation.price(float(fuel.price_per_unit or 0.0) / float(fuel.kwh_per_unit or 1.0))
    assert said.endswith(f"perhaps {meant} is meant.")


def test_a_heat_loss_far_from_anything_built_is_asked_about(year: Year) -> None:
    area = year.case.home.floor_area_m2
    for each, factor in ((0.1, 10.0), (8.0, 0.1)):
        said = str(plausible.heat_loss(replace(year, loss_w_per_k=each * area)))
        assert f"perhaps {year.case.notation.number(each * area * factor)} W/K is meant" in said
    assert plausible.heat_loss(replace(year, loss_w_per_k=5.9 * area)) is None


def test_a_household_of_a_factory_is_asked_about(year: Year) -> None:
    said = str(plausible.household_use(used(year, times(175_000.0 / year.run.totals.household))))
    number = year.case.notation.number
    assert f"uses {number(175_000)} kWh a year" in said
    assert f"perhaps {number(1_750)} kWh is meant" in said
    assert plausible.household_use(used(year, times(0.0))) is None


def test_a_week_of_zeros_is_asked_about(year: Year) -> None:
    nothing = times(0.0, days(year, 181, 195))
    for what, made in (
        ("The price of electricity", priced(year, nothing)),
        ("The temperature in weather.csv", weathered(year, "outdoor_c", nothing)),
        ("The sun in weather.csv", weathered(year, "ghi_w_m2", nothing)),
        ("The load in household.csv", used(year, nothing)),
    ):
        said = str(plausible.zeros(made))
        assert said.startswith(f"{what} is zero for 1")
        assert said.endswith("perhaps it is missing there.")
    assert plausible.zeros(priced(year, times(0.0, days(year, 181, 187)))) is None


def test_half_a_year_in_another_unit_is_asked_about(year: Year) -> None:
    half = days(year, 182, 366)

    def fahrenheit(values: np.ndarray) -> np.ndarray:
        late = days(year, 273, 366)
        values[late] = 1.8 * values[late] + 32.0
        return values

    for what, made in (
        ("The price of electricity", priced(year, times(100.0, half))),
        ("The load in household.csv", used(year, times(1000.0, half))),
        ("The sun in weather.csv", weathered(year, "ghi_w_m2", times(3.6, half))),
        ("The temperature in weather.csv", weathered(year, "outdoor_c", fahrenheit)),
    ):
        said = str(plausible.other_unit(made))
        assert said.startswith(f"{what} is ")
        assert said.endswith(" on: perhaps one part of it is in another unit.")


def test_a_sky_that_does_not_add_up_is_asked_about(year: Year) -> None:
    height = sun_position(year.axis, year.case.site.latitude_deg, year.case.site.longitude_deg).height
    level = weathered(year, "dni_w_m2", lambda values: values * height)
    assert "the direct part is that on the level" in str(plausible.sky(level))
    assert "in another column or unit" in str(plausible.sky(weathered(year, "dhi_w_m2", times(3.6))))


def test_an_answer_asks_once(year: Year) -> None:
    doubted = priced(year, times(10.0))
    said = [one for one in cautions_for([doubted, doubted]) if one.startswith("Electricity costs")]
    assert len(said) == 1
    assert "Ask your supplier, or look at a bill. Source: bounds of simkit's own" in said[0]

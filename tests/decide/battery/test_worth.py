"""What a forecast is worth to a battery."""

from __future__ import annotations

from decide.invented import ROOF, stored, tariff
from simkit.case.build import vary
from simkit.year.simulate import simulate


def test_a_forecast_is_worth_what_separates_tomorrow_from_yesterday() -> None:
    paid = vary(stored(usable_kwh=12.0), {"solar": ROOF, "tariff": tariff(night=0.2, day=0.34, export=0.15)})
    filled = {"battery.fill_below_price": 0.25}
    foreseen, taken = (
        simulate(vary(paid, filled | {"battery.fill_by": kind})).bill.total for kind in ("tomorrow", "yesterday")
    )
    assert foreseen < taken

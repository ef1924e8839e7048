"""Nothing in, invented homes out: what the tests of decisions share."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from functools import lru_cache
from pathlib import Path
from typing import Any

import pytest

from simkit.case.build import Case, vary
from simkit.case.load import read_case
from simkit.decide.schedule import candidates, search
from simkit.tariff.tariff import Tariff

FEW = {"OVER_K": (0.0, 0.5), "LEAD_H": (1.0,), "SET_BACK_K": (0.0, 2.0), "PRE_HEAT": ((0.0, 0.0), (1.0, 3.0)),
       "CURVE_K": (-3.0, 0.0)}  # fmt: skip
SAMPLES = Path(__file__).parents[2] / "sample_data"
ROOF = {"array": [{"kwp": 4.0, "tilt_deg": 35.0, "azimuth_deg": 180.0}], "inverter_kw": 3.6}
CAR = {
    "km_per_week": 220.0, "kwh_per_100_km": 21.0, "charger_kw": 7.0, "from": "18:00", "to": "07:00", "days": "all",
    "charging": "at_once",
}  # fmt: skip
STORE = {
    "usable_kwh": 8.0, "charge_kw": 3.0, "discharge_kw": 3.0, "fill_below_price": 0.2, "wear_per_kwh": 0.01,
}  # fmt: skip


def tariff(night: float = 0.12, day: float = 0.36, export: float | None = None) -> Tariff:
    """An invented tariff: four cheap hours of the night, the rest expensive."""
    bands = [
        {"name": "Night", "price_per_kwh": night, "from": "01:00", "to": "05:00", "days": "all"},
        {"name": "Day", "price_per_kwh": day, "from": "05:00", "to": "01:00", "days": "all"},
    ]
    paid: dict[str, Any] = {} if export is None else {"export": {"price_per_kwh": export}}
    return Tariff.model_validate_json(
        __import__("json").dumps(
            {
                "name": "Invented night", "note": "invented", "currency": "EUR", "valid_from": "2025-01-01",
                "clock": "local", "meter_offset_minutes": 0, "tax": 0.0, "prices_include_tax": True,
                "standing_per_day": 0.5, "band": bands, **paid,
            }
        )
    )  # fmt: skip


@lru_cache(maxsize=8)
def terrace(**changes: float) -> Case:
    """The canal terrace on whole hours and the invented night tariff, in steps of an hour, without its options."""
    case = read_case(SAMPLES / "canal_terrace" / "case.toml")
    periods = [{"from": "06:00", "to": "22:00", "c": 20.0, "days": "all"}]
    return vary(
        case,
        {
            "option": None, "baseline": None, "tariff": tariff(), "comfort.periods": periods,
            "controls.periods": [{"from": "05:00", "to": "22:00", "c": 20.5, "days": "all"}],
            "heat_source": "heat_pump", "fuel.other_use_kwh": 0.0, "step_minutes": 60,
            "hot_water.draws_vary": False, **changes,  # what a schedule does is then all that differs
        },
    )  # fmt: skip


def stored(**battery: Any) -> Case:
    """The same home with the invented battery."""
    return vary(terrace(), {"battery": {**STORE, **battery}})


@contextmanager
def few_candidates(**grid: Any) -> Iterator[None]:
    """A search over a small grid, its best one moved once."""
    with pytest.MonkeyPatch.context() as patch:
        for name, value in (grid or FEW).items():
            patch.setattr(candidates, name, value)
        patch.setattr(search, "ROUNDS", 1)
        yield

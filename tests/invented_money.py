"""Nothing in; an invented home with two offers, its alternative and terms of money, out: what money tests share."""

from __future__ import annotations

from functools import lru_cache
from typing import Any

from case.stated import made, table

from simkit.case.build import Case
from simkit.year.compare import Comparison, compare

MONEY: dict[str, Any] = {
    "start": "2026-01-01", "horizon_years": 15, "discount_rate": 0.03, "degradation_per_year": 0.0,
    "service": {"heat_pump": 150.0, "boiler": 120.0},
    "part": [
        {"name": "unit", "of": "heat_pump", "cost": 4000.0, "life_years": 10.0},
        {"name": "boiler", "of": "boiler", "cost": 3600.0, "life_years": 18.0, "age_years": 14.0},
    ],
}  # fmt: skip
OLD = "Old boiler"
CHEAP, DEAR = "Cheap offer", "Dear offer"


def quote(amount: float, *, paid: bool = False) -> dict[str, Any]:
    return {"label": "all fitted", "amount": amount, "date": "2026-01-01", "kind": "quote", "paid": paid}


def home(cheap: float = 6000.0, dear: float = 7900.0, *, paid: bool = False, **more: Any) -> Case:
    options = [
        {"name": OLD, "heat_source": "boiler"},
        {"name": CHEAP, "controls": {"design_flow_c": 55.0}, "emitters": {"sized_for_flow_c": 55.0},
         "ledger": {"item": [quote(cheap, paid=paid)]}},
        {"name": DEAR, "controls": {"design_flow_c": 42.0}, "emitters": {"sized_for_flow_c": 42.0},
         "ledger": {"item": [quote(dear)]}},
    ]  # fmt: skip
    said: dict[str, Any] = {"baseline": OLD, "money": MONEY, "option": options} | more
    return made({key: value for key, value in table(**said).items() if value is not None})


@lru_cache(maxsize=1)
def compared() -> Comparison:
    """The home's options, simulated once: ledgers and terms change none of it."""
    return compare(home())

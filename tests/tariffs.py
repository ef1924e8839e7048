"""Tariffs of the tests in: what several test modules charge with."""

from __future__ import annotations

import datetime as dt
from typing import Any

from simkit.tariff.tariff import Band, Export, Tariff


def band(name: str, price: float, start: str, end: str, **rules: Any) -> Band:
    """Make a band; every day unless told otherwise."""
    return Band.model_validate({"name": name, "price_per_kwh": price, "from": start, "to": end, "days": "all", **rules})


def tariff(*bands: Band, export: float | Export | None = None, **terms: Any) -> Tariff:
    """Make a tariff in EUR on wall time, without tax and standing charge unless told otherwise."""
    plain: dict[str, Any] = {
        "name": "Test tariff",
        "note": "Invented.",
        "currency": "EUR",
        "valid_from": dt.date(2020, 1, 1),
        "clock": "local",
        "tax": 0.0,
        "prices_include_tax": True,
        "standing_per_day": 0.0,
        "band": bands,
        "export": Export(price_per_kwh=export) if isinstance(export, float | int) else export,
    }
    return Tariff.model_validate(plain | terms)

"""An invented home's account over the months after its fit in, left alone or with a stated change; its notice out."""

from __future__ import annotations

import tempfile
from pathlib import Path

import numpy as np
import pandas as pd

from meter.homes import days_of, flagship
from meter.invented import invent
from simkit.case.sample_homes import sample_file
from simkit.meter.account.account import add_readings, start_account
from simkit.meter.account.statement import Drift, statement
from simkit.meter.fitting.fitting import fit
from simkit.meter.reading.reading import readings_from

FIRST, FITTED_DAYS, LAST = "2025-01-10", 40, "2025-05-20"
CHANGE = "2025-03-20"  # a month after the fit, two before the end


def notices(number: int, shares: tuple[float, ...], *, draws: int = 4000) -> list[Drift | None]:
    """Notices three months after the fit, once for each share of the heating's electricity added from `CHANGE` on."""
    made = invent(flagship(), 11_000 + number, FIRST, LAST)
    first = days_of(made.readings, 0, FITTED_DAYS)
    found = fit(flagship(), first, weather=made.weather, draws=draws)
    with tempfile.TemporaryDirectory() as folder:
        begun = start_account(Path(folder) / "account", sample_file("estuary_bungalow"), found, first)
        account, _ = add_readings(begun, made.readings)
        quiet = statement(account, weather=made.weather)
        frame = made.readings.frame
        day = pd.DatetimeIndex(frame.index).tz_convert("Europe/Dublin").tz_localize(None).normalize()
        late = np.asarray(day >= pd.Timestamp(CHANGE))
        heat = quiet.days["heat_kwh"].reindex(day).to_numpy() / 48.0
        said = []
        for share in shares:
            if share == 0.0:  # the same readings have the same statement
                said.append(quiet.drift)
                continue
            moved = frame["import_kwh"] + np.where(late, share * heat, 0.0)
            changed = readings_from(frame.assign(import_kwh=moved), zone="Europe/Dublin", name="changed")
            with tempfile.TemporaryDirectory() as other:
                again = start_account(Path(other) / "account", sample_file("estuary_bungalow"), found, first)
                kept, _ = add_readings(again, changed)
                said.append(statement(kept, weather=made.weather).drift)
    return said

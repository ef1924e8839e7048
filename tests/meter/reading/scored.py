"""A reading held against what truly happened: right, wrong and in what, or refused."""

from __future__ import annotations

import zlib
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pandas as pd

from meter.reading.invented_meters import PLACES, Home, Truth
from simkit.errors import DataError
from simkit.meter.reading.reading import Readings, read_meter

NAMES = {
    "import": "import_kwh",
    "export": "export_kwh",
    "heat": "heat_kwh",
    "gas": "fuel_kwh",
    "heat pump": "heat_pump_kwh",
}
LONG = pd.Timedelta(hours=20)


@dataclass(frozen=True)
class Score:
    """One file: its layout, how sure the least sure statement was, and what was wrong ("" where nothing was)."""

    layout: str
    number: int
    sure: float
    wrong: str
    refused: str = ""


def files(
    layouts: tuple[Callable[[Home], tuple[str, Truth]], ...], each: int, seed: int = 1
) -> Iterator[tuple[str, int, str, Truth]]:
    for layout in layouts:
        for number in range(each):
            rng = np.random.default_rng([seed, zlib.crc32(layout.__name__.encode()), number])
            text, truth = layout(Home(PLACES[int(rng.integers(len(PLACES)))], rng))
            yield layout.__name__, number, text, truth


def scored(folder: Path, layout: str, number: int, text: str, truth: Truth) -> Score:
    path = folder / "export.csv"
    path.write_text(text, encoding="utf-8")
    try:
        found = read_meter(path, zone=truth.place.timezone)
    except DataError as refusal:
        return Score(layout, number, 0.0, "", str(refusal))
    sure = min(guess.confidence for guess in found.layout.guesses)
    if truth.told:
        return Score(layout, number, sure, "" if found.report.suspicious else f"not told: {truth.told[0]}")
    return Score(layout, number, sure, what_is_wrong(found, truth))


def what_is_wrong(found: Readings, truth: Truth) -> str:
    """What differs from the truth, "" where nothing does."""
    expected = {NAMES[role]: kwh for role, kwh in truth.kwh.items()}
    allowed = {*expected, *(f"{place}_c" for place in truth.celsius or {})}
    extra = [q for q in found.quantities if q not in allowed and found.frame[q].abs().sum() > 0.5]
    if extra:
        return f"{extra[0]} is read and isn't there"
    for name, kwh in expected.items():
        if name not in found.frame:
            return f"{name} is missing"
        if wrong := _apart(found.frame, name, kwh, truth):
            return wrong
    return ""


def _apart(frame: pd.DataFrame, name: str, kwh: np.ndarray, truth: Truth) -> str:
    total, slack = float(np.sum(kwh)), 0.02 * float(np.sum(kwh)) + 0.003 * len(kwh)
    read = float(frame[name].sum())
    if abs(read - total) > slack:
        return f"{name} {read:.1f} for {total:.1f} kWh"
    if (truth.ends[0] - truth.starts[0]) > LONG:
        held = frame[name].dropna()
        late = abs(held.index[0] - truth.starts[0]) if len(held) else LONG
        alike = len(held) == len(kwh) and float(np.abs(held.to_numpy() - kwh).sum()) <= slack
        return "" if alike and late <= pd.Timedelta(hours=13) else f"{name}: days stand elsewhere"
    placed = frame[name].reindex(truth.starts).fillna(0.0).to_numpy()
    return "" if float(np.abs(placed - kwh).sum()) <= 2 * slack else f"{name} stands at other times"

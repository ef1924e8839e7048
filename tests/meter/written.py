"""One truth of half-hours in; the same data written in the layouts that people have, out."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pandas as pd

ZONE = "Europe/Dublin"
SPRING = ("2025-03-10", "2025-04-15")
AUTUMN = ("2025-10-10", "2025-11-12")


def truth(days: tuple[str, str] = SPRING, seed: int = 5) -> pd.Series:
    """Invented half-hours [kWh] of whole local days, indexed by their start in UTC; three decimals."""
    index = pd.date_range(days[0], days[1], freq="30min", tz=ZONE, inclusive="left").tz_convert("UTC")
    rng = np.random.default_rng(seed)
    values = np.round(0.2 + rng.gamma(1.5, 0.3, len(index)), 3)
    return pd.Series(values, index=index.as_unit("us"))


def _rows(head: str, cells: list[str]) -> str:
    return "\n".join([head, *cells]) + "\n"


def utc_start(s: pd.Series) -> str:
    return _rows("start,energy (kWh)", [f"{t:%Y-%m-%dT%H:%M}Z,{v:.3f}" for t, v in s.items()])


def local_comma(s: pd.Series) -> str:
    local = s.index.tz_convert(ZONE)
    cells = [
        f"{t:%d.%m.%Y %H:%M};{v:.3f}".replace(".", ",").replace(",", ".", 2) for t, v in zip(local, s, strict=True)
    ]
    return "\ufeff" + _rows("Beginn;Verbrauch kWh", cells)


def utc_end(s: pd.Series) -> str:
    ends = s.index + pd.Timedelta("30min")
    return _rows(
        "interval end,import Wh", [f"{t:%Y-%m-%d %H:%M:%S}+00:00,{v * 1000:.0f}" for t, v in zip(ends, s, strict=True)]
    )


def offset_power(s: pd.Series) -> str:
    local = s.index.tz_convert(ZONE)
    return _rows("time\tmean power (kW)", [f"{t.isoformat()}\t{v * 2:.4f}" for t, v in zip(local, s, strict=True)])


def wide_ragged(s: pd.Series) -> str:
    local = s.index.tz_convert(ZONE)
    lines = []
    for day, values in s.groupby(local.date):
        lines.append(f"{day:%d/%m/%Y}," + ",".join(f"{v:.3f}" for v in values))
    return _rows("date," + ",".join(f"{k}" for k in range(1, 51)), lines)


def wide_times_total(s: pd.Series) -> str:
    """Times in the head, always 48 columns, the skipped hour empty, a total of the day."""
    local = s.index.tz_convert(ZONE)
    head = [f"{k // 2:02d}:{30 * (k % 2):02d}" for k in range(48)]
    lines = []
    for day, values in s.groupby(local.date):
        by_wall = {f"{t:%H:%M}": v for t, v in zip(values.index.tz_convert(ZONE)[::-1], values[::-1], strict=True)}
        cells = [f"{by_wall[h]:.3f}" if h in by_wall else "" for h in head]
        lines.append(f"{day:%Y-%m-%d};{';'.join(cells)};{values.sum():.3f}")
    return _rows(f"day;{';'.join(head)};total", lines)


def numbered(s: pd.Series) -> str:
    local = s.index.tz_convert(ZONE)
    lines = []
    for day, values in s.groupby(local.date):
        lines += [f"{day:%d-%b-%Y},{k + 1},{v:.3f},A" for k, v in enumerate(values)]
    return _rows("settlement date,period,consumption kWh,flag", lines)


def register(s: pd.Series) -> str:
    total = 84_213.5 + np.concatenate([[0.0], s.cumsum().to_numpy()])
    instants = s.index.append(pd.DatetimeIndex([s.index[-1] + pd.Timedelta("30min")]))
    return _rows(
        "time (UTC);register reading kWh", [f"{t:%Y-%m-%d %H:%M};{v:.3f}" for t, v in zip(instants, total, strict=True)]
    )


def two_columns_newest_first(s: pd.Series) -> str:
    """UTC, date and time apart, month first, newest on top, title lines above and a total below."""
    lines = [f"{t:%m/%d/%Y},{t:%I:%M %p},{v:.3f},kWh" for t, v in list(s.items())[::-1]]
    return "Readings of an invented home\nAll times UTC\n\n" + _rows(
        "date,start time,use,unit", [*lines, f"Total,,{s.sum():.3f},kWh"]
    )


def epoch(s: pd.Series) -> str:
    return _rows(
        "timestamp,electricity_kwh,cost_eur", [f"{t.timestamp():.0f},{v:.3f},{v * 0.3:.4f}" for t, v in s.items()]
    )


def both_stamps(s: pd.Series) -> str:
    local = s.index.tz_convert(ZONE)
    cells = [
        f'"{t:%Y/%m/%d %H:%M}","{t + pd.Timedelta("30min"):%Y/%m/%d %H:%M}","{v:.3f}","{v * 1.1:.2f}"'
        for t, v in zip(local, s, strict=True)
    ]
    return _rows('"from","to","kWh used","price"', cells)


LAYOUTS: tuple[Callable[[pd.Series], str], ...] = (
    utc_start, local_comma, utc_end, offset_power, wide_ragged, wide_times_total, numbered, register,
    two_columns_newest_first, epoch, both_stamps,
)  # fmt: skip


def put(folder: Path, text: str, name: str = "readings.csv") -> Path:
    path = folder / name
    path.write_bytes(text.encode("utf-8"))
    return path

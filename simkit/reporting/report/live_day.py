"""A year in; one day of it as rows of a sheet in which a spreadsheet works out what the kit did, out.

Values are what the kit recorded of each step; electricity, import, export, cost and performance are formulas of them,
beside the kit's own figures.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Any

import numpy as np
import pandas as pd

from simkit.reporting.report.sheets import Formula, Strong, column_letter

if TYPE_CHECKING:
    from simkit.answers.report.words import Words
    from simkit.year.year import Year

# Column of the sheet: what it holds, added up from columns of the frame of steps; the rest are formulas.
RECORDED = {
    "outdoor": ("outdoor_c",), "flow": ("flow_c",), "heat": ("heat_pump_heat_kw",), "cop": ("cop",),
    "heaters": ("backup_heater_kw", "immersion_kw"), "aids": ("pumps_kw", "standby_kw", "boiler_kw"),
    "household": ("household_kw", "car_kw"), "sun": ("solar_kw",), "curtailed": ("curtailed_kw",),
    "charge": ("battery_charge_kw",), "discharge": ("battery_discharge_kw",), "idle": (),
    "import_price": ("import_price_per_kwh",), "export_price": ("export_price_per_kwh",),
    "kit_import": ("import_kw",), "kit_export": ("export_kw",),
}  # fmt: skip
# Formulas of a step, by the names of columns; {hours} is the length of a step.
WORKED = {
    "electricity": "IF({cop}>0,{heat}/{cop},0)",
    "used": "{electricity}+{heaters}+{aids}+{household}+{idle}",
    "net": "{used}+{charge}-{discharge}-({sun}-{curtailed})",
    "import": "MAX(0,{net})", "export": "MAX(0,-{net})",
    "cost": "({import}*{import_price}-{export}*{export_price})*{hours}",
    "off": "ABS({import}-{kit_import})+ABS({export}-{kit_export})",
}  # fmt: skip
COLUMNS = (
    "outdoor", "flow", "heat", "cop", "electricity", "heaters", "aids", "household", "idle", "used", "sun",
    "curtailed", "charge", "discharge", "net", "import", "export", "import_price", "export_price", "cost",
    "kit_import", "kit_export", "off",
)  # fmt: skip
SUMMED = ("heat", "electricity", "heaters", "aids", "household", "idle", "used", "sun", "curtailed", "charge",
          "discharge", "import", "export", "kit_import", "kit_export")  # fmt: skip
HEAD_ROWS = 5  # title, note, length of a step, empty, heads
LETTERS = {name: column_letter(place + 1) for place, name in enumerate(COLUMNS)}


def coldest_day(year: Year) -> int:
    """Number of the civil day with the lowest mean outdoor temperature."""
    outdoor = year.hourly["outdoor_c"].to_numpy()
    return int(np.argmin(np.bincount(year.axis.day, outdoor) / np.bincount(year.axis.day)))


def day_rows(year: Year, words: Words, day: int | None = None) -> Iterator[Sequence[Any]]:
    """Rows of the sheet of one day.

    Parameters
    ----------
    year
        The year.
    words
        The words of the report.
    day
        Number of the civil day, from 0; None takes the coldest.
    """
    day = coldest_day(year) if day is None else day
    steps = np.flatnonzero(year.axis.day == day)
    frame = year.hourly_local.iloc[steps]
    date = words.date(year.axis.dates[day].astype(object))
    first, last = HEAD_ROWS + 1, HEAD_ROWS + len(steps)
    yield [Strong(words("workbook.day_title", date=date))]
    yield [words("workbook.day_note")]
    yield [words("workbook.step_hours"), year.axis.hours]
    yield []
    yield [Strong(words("workbook.time")), *(Strong(words(f"workbook.{name}")) for name in COLUMNS)]
    recorded = _recorded(year, frame, steps)
    for row, stamp in enumerate(frame.index):
        yield [stamp.strftime("%H:%M"), *_step(recorded.iloc[row], first + row)]
    yield []
    yield [Strong(words("workbook.day_kwh")), *(_total(name, first, last) for name in COLUMNS)]
    yield [Strong(words("workbook.day_cost")), Formula(f"SUM({LETTERS['cost']}{first}:{LETTERS['cost']}{last})")]
    total = last + 2
    heat, electricity = (f"{LETTERS[name]}{total}" for name in ("heat", "electricity"))
    heaters, aids = (f"{LETTERS[name]}{total}" for name in ("heaters", "aids"))
    yield [Strong(words("workbook.day_h2")), Formula(f"IF({electricity}>0,{heat}/{electricity},0)")]
    all_in = f"({electricity}+{heaters}+{aids})"
    yield [Strong(words("workbook.day_h4")), Formula(f"IF({all_in}>0,({heat}+{heaters})/{all_in},0)")]
    yield [Strong(words("workbook.day_off")), Formula(f"SUM({LETTERS['off']}{first}:{LETTERS['off']}{last})")]


def _recorded(year: Year, frame: pd.DataFrame, steps: np.ndarray) -> pd.DataFrame:
    """What the kit recorded, by the columns of the sheet."""
    held = {name: frame[list(columns)].sum(axis=1) for name, columns in RECORDED.items() if columns}
    held["idle"] = pd.Series(year.flow("battery_idle")[steps], frame.index)
    return pd.DataFrame(held).fillna(0.0)


def _step(row: pd.Series[float], number: int) -> Iterator[Any]:
    places = {name: f"{letter}{number}" for name, letter in LETTERS.items()} | {"hours": "$B$3"}
    for name in COLUMNS:
        yield Formula(WORKED[name].format(**places)) if name in WORKED else float(row[name])


def _total(name: str, first: int, last: int) -> Any:
    return Formula(f"SUM({LETTERS[name]}{first}:{LETTERS[name]}{last})*$B$3") if name in SUMMED else None

"""What a report works from in; the coldest week of its year, day by day, out."""

from __future__ import annotations

import pandas as pd

from simkit.answers.answer import Answer, Column, Table
from simkit.answers.report.basis import Basis
from simkit.answers.report.words import Words
from simkit.answers.wording import provenance_of
from simkit.answers.year import year_pictures
from simkit.notation import lowest_room
from simkit.weather.coldest import coldest_week as weekly
from simkit.year.year import Year

TITLES = {
    "outdoor_c": "outdoor", "min_room_c": "lowest", "space_heat_kwh": "heat", "import_kwh": "electricity",
    "backup_heater_kwh": "heater",
}  # fmt: skip


def coldest_week(basis: Basis) -> Answer:
    """Say how the home fares in its coldest week."""
    words, year = basis.words, basis.chosen
    days = week_days(year)
    number = words.notation.number
    said = [
        words(
            "coldest_week.said", end=words.date(days.index[-1].date()), outdoor=number(days["outdoor_c"].mean(), 1),
            heat=number(days["space_heat_kwh"].sum() / (24.0 * len(days)), 1),
            lowest=lowest_room(float(days["min_room_c"].min()), number), begin=words.date(days.index[0].date()),
        )
    ]  # fmt: skip
    if year.sizing is not None:
        said.append(year.sizing.worded(number))
    return Answer(
        basis.case.name, words("ask.coldest_week"), tuple(said), words.notation, tables=(_table(words, days),),
        pictures=tuple(picture for picture in year_pictures(year) if picture.name == "cold_week"),
        provenance=provenance_of(year),
    )  # fmt: skip


def week_days(year: Year) -> pd.DataFrame:
    """The days of the coldest week: outdoors, coldest room [°C], heat and electricity [kWh]."""
    hourly, hours = year.hourly_local, year.axis.hours
    week = hourly.iloc[weekly(hourly["outdoor_c"].to_numpy(), year.axis.day, hours)]
    by_day = week.groupby(pd.DatetimeIndex(week.index).normalize())
    sums = by_day[["space_heat_kw", "import_kw", "backup_heater_kw"]].sum() * hours
    sums.columns = pd.Index([name.replace("_kw", "_kwh") for name in sums.columns])
    return pd.DataFrame({"outdoor_c": by_day["outdoor_c"].mean(), "min_room_c": by_day["air_c"].min()}).join(sums)


def _table(words: Words, days: pd.DataFrame) -> Table:
    frame = days.set_axis(pd.Index([words.date(day.date()) for day in days.index], name="day"))
    columns = tuple(Column(name, title=words(f"coldest_week.{title}")) for name, title in TITLES.items())
    return Table("days", words("coldest_week.days"), frame, columns, first=words("coldest_week.day"))

"""Layouts that utilities, portals and loggers export, filled with an invented home: text and truth of each.

Written without knowledge of the reader. `invented_exports_later` holds those that its mending never saw.
"""

from collections.abc import Callable

import numpy as np
import pandas as pd

from meter.reading.invented_meters import Home, Truth, numbers, rows, written

DAY_FORMS = ("%d/%m/%Y", "%d.%m.%Y", "%d-%m-%Y")
ISO = ("%Y-%m-%d %H:%M", "%Y-%m-%dT%H:%M:%S", "%Y-%m-%d %H:%M:%S", "%Y/%m/%d %H:%M")


def day_form(home: Home) -> str:
    return "%m/%d/%Y" if home.place.dates == "month" else home.pick(*DAY_FORMS)


def marks(home: Home) -> tuple[str, bool]:
    """Separator and whether decimals are commas."""
    if home.place.comma and home.rng.random() < 0.7:
        return home.pick(";", ";", "\t"), True
    return home.pick(",", ",", ";", "\t"), False


def unit(home: Home, name: str, mark: str = "kWh") -> str:
    return home.pick(f"{name} ({mark})", f"{name} [{mark}]", f"{name} {mark}")


def beside_dates(
    home: Home, starts: pd.DatetimeIndex, kwh: np.ndarray, head: Callable[[], str], cells: list[str]
) -> list[str]:
    """Rows of a date, what says the part of the day, and the import."""
    separator, comma = marks(home)
    heads = separator.join((home.word("date"), head(), unit(home, home.word("import"))))
    stamps = written(starts, "local", home.place, home.pick("%Y-%m-%d", day_form(home)))
    return [heads, *rows(separator, stamps, cells, numbers(kwh, 3, comma))]


def text(*lines: str | list[str]) -> str:
    flat: list[str] = []
    for line in lines:
        flat += [line] if isinstance(line, str) else line
    return "\n".join(flat) + "\n"


def plain_iso(home: Home) -> tuple[str, Truth]:
    """One stamp, one column, the unit in its head."""
    minutes = home.pick(15, 30, 60, 60)
    starts, ends = home.span(minutes, home.pick(14, 28, 40))
    kwh = home.load(starts, ends)
    separator, comma = marks(home)
    head = separator.join(
        (home.pick(home.word("time"), home.word("date"), "timestamp", "start"), unit(home, home.word("import")))
    )
    stamps = written(starts, "local", home.place, home.pick(*ISO))
    return text(head, rows(separator, stamps, numbers(kwh, 3, comma))), Truth(home.place, starts, ends, {"import": kwh})


def with_offset(home: Home) -> tuple[str, Truth]:
    """Stamps that bear their offset; import and often export."""
    starts, ends = home.span(home.pick(15, 30, 60), home.pick(14, 28))
    kwh, export = home.both_ways(starts, ends)
    head = f"{home.pick('start', 'timestamp', 'time', 'interval start')},{unit(home, home.word('import'))},{unit(home, home.word('export'))}"
    stamps = written(starts, home.pick("local", "utc"), home.place, "offset")
    return text(head, rows(",", stamps, numbers(kwh, 3), numbers(export, 3))), Truth(
        home.place, starts, ends, {"import": kwh, "export": export}
    )


def date_and_time(home: Home) -> tuple[str, Truth]:
    """Date and time in two columns."""
    starts, ends = home.span(home.pick(15, 30, 60), home.pick(14, 28, 40))
    kwh = home.load(starts, ends)
    separator, comma = marks(home)
    head = separator.join((home.word("date"), home.word("time"), unit(home, home.word("import"))))
    lines = rows(
        separator,
        written(starts, "local", home.place, day_form(home)),
        written(starts, "local", home.place, home.pick("%H:%M", "%H:%M:%S")),
        numbers(kwh, 3, comma),
    )
    return text(head, lines), Truth(home.place, starts, ends, {"import": kwh})


def clock_of_twelve(home: Home) -> tuple[str, Truth]:
    """Dates and hours with AM and PM."""
    starts, ends = home.span(home.pick(30, 60), home.pick(14, 28, 40))
    kwh = home.load(starts, ends)
    head = f"{home.word('date')},{unit(home, home.word('import'))}"
    stamps = written(starts, "local", home.place, f"{day_form(home)} %I:%M %p")
    return text(head, rows(",", stamps, numbers(kwh, home.pick(2, 3)))), Truth(
        home.place, starts, ends, {"import": kwh}
    )


def unix_power(home: Home) -> tuple[str, Truth]:
    """Seconds or milliseconds since 1970 and mean power in W."""
    starts, ends = home.span(home.pick(5, 15), home.pick(4, 8))
    kwh = home.load(starts, ends)
    watt = np.round(kwh * 1000 / ((ends - starts) / pd.Timedelta(hours=1)))
    per = home.pick(1, 1000)
    stamps = [str(int(s.timestamp()) * per) for s in starts]
    head = f"{home.pick('time', 'timestamp', 'ts')},{unit(home, home.pick('Power', 'Grid power', 'Import'), 'W')}"
    return text(head, rows(",", stamps, numbers(watt, 0))), Truth(home.place, starts, ends, {"import": kwh})


def wide_days(home: Home) -> tuple[str, Truth]:
    """One row a day, one column an interval, the number of the meter point in front."""
    minutes = home.pick(30, 60)
    first = pd.Timestamp(2024, home.pick(1, 2, 5, 6, 7, 8, 12), home.pick(1, 4, 12))
    edges = pd.DatetimeIndex([first, first + pd.Timedelta(days=18)]).tz_localize(home.place.timezone).tz_convert("UTC")
    starts = pd.date_range(edges[0], edges[1], freq=f"{minutes}min", inclusive="left")
    ends = starts + pd.Timedelta(minutes=minutes)
    kwh = home.load(starts, ends)
    point = str(int(home.rng.integers(10**9, 10**13 - 1)))
    clock = [f"{h:02d}:{m:02d}" for h in range(24) for m in range(0, 60, minutes)]
    front = home.pick(True, False)
    heads = ([home.pick("MPAN", "Meter point", "Meter number", "Connection")] if front else []) + [
        home.word("date"),
        *clock,
    ]
    days = sorted({s.tz_localize(None).normalize() for s in starts.tz_convert(home.place.timezone)})
    form = home.pick("%Y-%m-%d", day_form(home), "%Y%m%d")
    table = np.array(numbers(kwh, 3)).reshape(len(days), -1)
    lines = [
        ",".join(([point] if front else []) + [d.strftime(form), *row]) for d, row in zip(days, table, strict=True)
    ]
    return text(",".join(heads), lines), Truth(home.place, starts, ends, {"import": kwh})


def register_rows(home: Home) -> tuple[str, Truth]:
    """Day and night register, and often injection, as rows of one file; the other register's row is there with nothing or not at all."""
    starts, ends = home.span(15, home.pick(7, 14))
    kwh, export = home.both_ways(starts, ends)
    hour = starts.tz_convert(home.place.timezone).hour
    separator, comma = home.pick((";", True), (",", False), (";", False))
    names = home.pick(
        ("Offtake Day", "Offtake Night", "Injection Day", "Injection Night"),
        ("Afname Dag", "Afname Nacht", "Injectie Dag", "Injectie Nacht"),
    )
    full = home.pick(True, False)
    dates, times = (
        written(starts, "local", home.place, "%d/%m/%Y" if home.place.dates == "day" else "%Y-%m-%d"),
        written(starts, "local", home.place, "%H:%M:%S"),
    )
    taken, given = numbers(kwh, 3, comma), numbers(export, 3, comma)
    zero = numbers(np.zeros(1), 3, comma)[0]
    lines = []
    for i in range(len(starts)):
        day = 7 <= hour[i] < 22
        for k, name in enumerate(names):
            runs = day if k % 2 == 0 else not day
            if runs or full:
                lines.append(
                    separator.join(
                        (dates[i], times[i], name, (taken[i] if k < 2 else given[i]) if runs else zero, "kWh")
                    )
                )
    head = separator.join(("From (date)", "From (time)", "Register", "Volume", "Unit"))
    return text(head, lines), Truth(home.place, starts, ends, {"import": kwh, "export": export})


def daily_from_to(home: Home) -> tuple[str, Truth]:
    """Days from midnight to midnight."""
    starts, ends = home.local_days(home.pick(40, 120, 365))
    kwh = home.load(starts, ends)
    separator, comma = marks(home)
    form = home.pick("%Y-%m-%d %H:%M", f"{day_form(home)} %H:%M", "%Y-%m-%d")
    head = separator.join((home.word("from"), home.word("to"), unit(home, home.word("import"))))
    lines = rows(
        separator,
        written(starts, "local", home.place, form),
        written(ends, "local", home.place, form),
        numbers(kwh, 2, comma),
    )
    return text(head, lines), Truth(home.place, starts, ends, {"import": kwh})


def register_hourly(home: Home) -> tuple[str, Truth]:
    """A register read each hour or quarter-hour."""
    starts, ends = home.span(home.pick(15, 60), home.pick(14, 28))
    kwh = home.load(starts, ends)
    start = home.rng.uniform(500, 40000)
    edges = starts.append(ends[-1:])
    reading = np.round(start + np.concatenate(([0], np.cumsum(kwh))), 3)
    separator, comma = marks(home)
    head = separator.join((home.word("time"), unit(home, home.pick("Meter reading", "Register", "Reading", "Total"))))
    stamps = written(edges, "local", home.place, home.pick(*ISO))
    return text(head, rows(separator, stamps, numbers(reading, 3, comma))), Truth(
        home.place, starts, ends, {"import": np.diff(reading)}
    )


def register_monthly(home: Home) -> tuple[str, Truth]:
    """Readings of the first of each month, newest first or oldest first, dates only."""
    starts, ends = home.local_months(home.pick(12, 18, 24))
    kwh = home.load(starts, ends)
    reading = np.round(home.rng.uniform(500, 60000) + np.concatenate(([0], np.cumsum(kwh))), home.pick(0, 1))
    edges = starts.append(ends[-1:])
    stamps = written(edges, "local", home.place, home.pick("%Y-%m-%d", day_form(home)))
    separator = home.pick(",", ";")
    lines = rows(separator, stamps, numbers(reading, 1))
    head = separator.join((home.word("date"), unit(home, home.pick("Meter reading", "Reading"))))
    return text(head, lines[::-1] if home.rng.random() < 0.5 else lines), Truth(
        home.place, starts, ends, {"import": np.diff(reading)}
    )


def daily_compact(home: Home) -> tuple[str, Truth]:
    """Dates of eight digits and Wh, with a head that says so."""
    starts, ends = home.local_days(home.pick(60, 200, 365))
    kwh = home.load(starts, ends)
    separator = home.pick(",", ";")
    head = separator.join((home.word("date"), unit(home, home.word("import"), "Wh")))
    return text(head, rows(separator, written(starts, "local", home.place, "%Y%m%d"), numbers(kwh * 1000, 0))), Truth(
        home.place, starts, ends, {"import": kwh}
    )


def compact_bare(home: Home) -> tuple[str, Truth]:
    """No head at all: stamps of digits and kWh or Wh."""
    starts, ends = home.span(home.pick(30, 60), home.pick(14, 28))
    kwh = home.load(starts, ends)
    watt_hours = home.pick(True, False)
    stamps = written(starts, "local", home.place, home.pick("%Y%m%d%H%M", "%Y%m%d %H:%M", "%Y-%m-%d %H:%M"))
    return text(rows(home.pick(",", ";"), stamps, numbers(kwh * 1000, 0) if watt_hours else numbers(kwh, 3))), Truth(
        home.place, starts, ends, {"import": kwh}
    )


def daily_bare(home: Home) -> tuple[str, Truth]:
    """Days without a head, Wh or kWh."""
    starts, ends = home.local_days(home.pick(60, 200))
    kwh = home.load(starts, ends)
    watt_hours = home.pick(True, False)
    stamps = written(starts, "local", home.place, home.pick("%Y%m%d", "%Y-%m-%d"))
    return text(rows(",", stamps, numbers(kwh * 1000, 0) if watt_hours else numbers(kwh, 2))), Truth(
        home.place, starts, ends, {"import": kwh}
    )


def two_and_gas(home: Home) -> tuple[str, Truth]:
    """Two import registers and gas as columns, hours, offsets or none."""
    starts, ends = home.span(60, home.pick(14, 28))
    kwh, gas = home.load(starts, ends), home.heating(starts, ends, 12000)
    low = (starts.tz_convert(home.place.timezone).hour < 7) | (starts.tz_convert(home.place.timezone).hour >= 23)
    names = home.pick(
        ("Electricity 1 (low tariff)", "Electricity 2 (normal tariff)"),
        ("Import low kWh", "Import normal kWh"),
        ("Import tariff 1 [kWh]", "Import tariff 2 [kWh]"),
    )
    first, second = np.where(low, kwh, 0), np.where(low, 0, kwh)
    stamps = written(starts, "local", home.place, home.pick("offset", "%Y-%m-%d %H:%M"))
    lines = rows(",", stamps, numbers(first, 3), numbers(second, 3), numbers(gas, 3))
    return text(f"hour start,{names[0]},{names[1]},{home.pick('Gas (kWh)', 'Gas kWh')}", lines), Truth(
        home.place, starts, ends, {"import": kwh, "gas": gas}
    )


def hour_ending(home: Home) -> tuple[str, Truth]:
    """Stamps of the end of each interval, midnight written 24:00 or 00:00; the head says end or not."""
    starts, ends = home.span(home.pick(15, 30, 60), home.pick(14, 28))
    kwh = home.load(starts, ends)
    separator, comma = marks(home)
    local = ends.tz_convert(home.place.timezone)
    dated = home.pick(True, False)
    form = home.pick("%Y-%m-%d", day_form(home))
    day = local - pd.to_timedelta(np.where(dated & (local.hour == 0) & (local.minute == 0), 1, 0), unit="min")
    clock = [("24:00" if dated and t == "00:00" else t) for t in local.strftime("%H:%M")]
    stamps = [f"{d} {t}" for d, t in zip(day.strftime(form), clock, strict=True)]
    head = separator.join(
        (
            home.pick("End", "Interval end", "Period ending", "Time" if dated else "Until"),
            unit(home, home.word("import")),
        )
    )
    return text(head, rows(separator, stamps, numbers(kwh, 3, comma))), Truth(home.place, starts, ends, {"import": kwh})


def hour_numbers(home: Home) -> tuple[str, Truth]:
    """A date and the number of the hour, 1 to 24."""
    starts, ends = home.span(60, home.pick(14, 28))
    kwh = home.load(starts, ends)
    hours = [str(h + 1) for h in starts.tz_convert(home.place.timezone).hour]
    lines = beside_dates(home, starts, kwh, lambda: home.pick("Hour", "HE", "Hour ending"), hours)
    return text(lines), Truth(home.place, starts, ends, {"import": kwh})


def preamble(home: Home) -> tuple[str, Truth]:
    """Lines about customer and meter before the head."""
    starts, ends = home.span(home.pick(15, 30, 60), home.pick(14, 28))
    kwh = home.load(starts, ends)
    separator, comma = marks(home)
    point = str(int(home.rng.integers(10**9, 10**13 - 1)))
    front = [
        f"Customer{separator}A. Nobody",
        f"Meter point{separator}{point}",
        home.pick("", f"Period{separator}{starts[0].date()} - {ends[-1].date()}"),
        f"Created{separator}2025-11-03 10:12",
    ]
    head = separator.join(
        (home.word("from"), home.word("to"), unit(home, home.word("import")), home.pick("Status", "Quality"))
    )
    form = f"{day_form(home)} %H:%M"
    lines = rows(
        separator,
        written(starts, "local", home.place, form),
        written(ends, "local", home.place, form),
        numbers(kwh, 3, comma),
        [home.pick("measured", "A")] * len(kwh),
    )
    return text(front, head, lines), Truth(home.place, starts, ends, {"import": kwh})


def logger_registers(home: Home) -> tuple[str, Truth]:
    """A logger's registers, read at times that drift by seconds, with a temperature beside them."""
    starts, ends = home.span(home.pick(5, 10, 15), home.pick(5, 8))
    kwh = home.load(starts, ends)
    edges = starts.append(ends[-1:])
    late = pd.to_timedelta(home.rng.integers(0, 25, len(edges)), unit="s")
    reading = np.round(home.rng.uniform(100, 20000) + np.concatenate(([0], np.cumsum(kwh))), 3)
    outdoor = home.outdoor(edges)
    head = f"time,{home.pick('import_total_kwh', 'Import total (kWh)', 'energy import kWh')},{home.pick('outdoor_c', 'Outdoor temperature (°C)', 'outside °C')}"
    stamps = written(edges + late, "local", home.place, "%Y-%m-%d %H:%M:%S")
    lines = rows(",", stamps, numbers(reading, 3), numbers(outdoor, 1))
    return text(head, lines), Truth(
        home.place, starts, ends, {"import": np.diff(reading)}, celsius={"outdoor": outdoor}
    )


def heat_meter(home: Home) -> tuple[str, Truth]:
    """A heat meter's register in MWh or kWh with volume and temperatures beside it."""
    starts, ends = home.span(60, home.pick(14, 28))
    heat = home.heating(starts, ends, 14000)
    edges = starts.append(ends[-1:])
    reading = home.rng.uniform(1000, 90000) + np.concatenate(([0], np.cumsum(heat)))
    mega = home.pick(True, False)
    reading = np.round(reading, 0 if mega else 1)
    separator, comma = marks(home)
    head = separator.join(
        (
            home.word("time"),
            unit(home, home.word("heat"), "MWh" if mega else "kWh"),
            "Volume (m³)",
            "Flow temperature (°C)",
            "Return temperature (°C)",
        )
    )
    volume = 100 + np.cumsum(np.full(len(edges), 0.4))
    flow = 38 + home.rng.normal(0, 1, len(edges))
    lines = rows(
        separator,
        written(edges, "local", home.place, home.pick(*ISO)),
        numbers(reading / 1000 if mega else reading, 3 if mega else 1, comma),
        numbers(volume, 2, comma),
        numbers(flow, 1, comma),
        numbers(flow - 6, 1, comma),
    )
    return text(head, lines), Truth(home.place, starts, ends, {"heat": np.diff(reading)})


def named_months(home: Home) -> tuple[str, Truth]:
    """Stamps with the month's name, tabs between."""
    starts, ends = home.span(home.pick(30, 60), home.pick(14, 28))
    kwh = home.load(starts, ends)
    head = f"{home.pick('Start', 'Time')}\t{unit(home, 'Usage')}"
    stamps = written(
        starts, "local", home.place, home.pick("%d %b %Y %H:%M", "%d-%b-%Y %H:%M", "%d %B %Y %H:%M", "%b %d %Y %H:%M")
    )
    return text(head, rows("\t", stamps, numbers(kwh, 3))), Truth(home.place, starts, ends, {"import": kwh})


def time_ranges(home: Home) -> tuple[str, Truth]:
    """A date and a range of times in one cell."""
    minutes = home.pick(15, 30, 60)
    starts, ends = home.span(minutes, home.pick(10, 14))
    kwh = home.load(starts, ends)
    between = [
        f"{a}{(home.place.comma and '-') or ' - '}{b}"
        for a, b in zip(
            written(starts, "local", home.place, "%H:%M"), written(ends, "local", home.place, "%H:%M"), strict=True
        )
    ]
    lines = beside_dates(home, starts, kwh, lambda: home.pick("Period", "Interval", home.word("time")), between)
    return text(lines), Truth(home.place, starts, ends, {"import": kwh})


def summer_time(home: Home) -> tuple[str, Truth]:
    """A month with a change of the clock, in local time: an hour doubled or left out."""
    year, month = home.pick((2023, 3), (2023, 10), (2024, 3), (2024, 10), (2024, 11), (2024, 4))
    starts, ends = home.span(home.pick(15, 30, 60), 1)
    first = pd.Timestamp(year, month, 1)
    edges = (
        pd.DatetimeIndex([first, first + pd.offsets.MonthBegin()]).tz_localize(home.place.timezone).tz_convert("UTC")
    )
    step = ends[0] - starts[0]
    starts = pd.date_range(edges[0], edges[1], freq=step, inclusive="left")
    kwh, export = home.both_ways(starts, starts + step)
    separator, comma = marks(home)
    head = separator.join((home.word("time"), unit(home, home.word("import")), unit(home, home.word("export"))))
    lines = rows(
        separator,
        written(starts, "local", home.place, home.pick(*ISO)),
        numbers(kwh, 3, comma),
        numbers(export, 3, comma),
    )
    return text(head, lines), Truth(home.place, starts, starts + step, {"import": kwh, "export": export})


def standard_clock(home: Home) -> tuple[str, Truth]:
    """A clock that never leaves winter time, over months that would have changed it or in summer alone; not a word about it."""
    first = pd.Timestamp(2024, home.pick(3, 10, 2, 9), 1)
    step = pd.Timedelta(minutes=60)
    edges = (
        pd.DatetimeIndex([first, first + pd.DateOffset(months=3)]).tz_localize(home.place.timezone).tz_convert("UTC")
    )
    starts = pd.date_range(edges[0], edges[1], freq=step, inclusive="left")
    kwh, export = home.both_ways(starts, starts + step)
    head = ",".join((home.word("time"), unit(home, home.word("import")), unit(home, home.word("export"))))
    lines = rows(",", written(starts, "standard", home.place, "%Y-%m-%d %H:%M"), numbers(kwh, 3), numbers(export, 3))
    return text(head, lines), Truth(home.place, starts, starts + step, {"import": kwh, "export": export})


def utc_clock(home: Home) -> tuple[str, Truth]:
    """A logger's clock on UTC over a change of summer time, with and without a word about it."""
    first = pd.Timestamp(2024, home.pick(3, 10), 1)
    step = pd.Timedelta(minutes=home.pick(30, 60))
    edges = pd.DatetimeIndex([first, first + pd.DateOffset(months=2)]).tz_localize("UTC")
    starts = pd.date_range(edges[0], edges[1], freq=step, inclusive="left")
    kwh, export = home.both_ways(starts, starts + step)
    head = ",".join(
        (home.pick("time (UTC)", "UTC", "time"), unit(home, home.word("import")), unit(home, home.word("export")))
    )
    lines = rows(",", written(starts, "utc", home.place, "%Y-%m-%d %H:%M"), numbers(kwh, 3), numbers(export, 3))
    return text(head, lines), Truth(home.place, starts, starts + step, {"import": kwh, "export": export})


def no_unit(home: Home) -> tuple[str, Truth]:
    """A head that names the thing and not its unit: kWh, Wh or mean kW."""
    minutes = home.pick(15, 30, 60)
    starts, ends = home.span(minutes, home.pick(14, 28, 40))
    kwh = home.load(starts, ends)
    times, digits = home.pick((1, 3), (1, 3), (1000, 0), (60 / minutes, 3))
    head = f"{home.word('time')},{home.word('import')}"
    return text(
        head, rows(",", written(starts, "local", home.place, home.pick(*ISO)), numbers(kwh * times, digits))
    ), Truth(home.place, starts, ends, {"import": kwh})


def machine_and_weather(home: Home) -> tuple[str, Truth]:
    """A heat pump's own meter beside the home's, the outdoor temperature, holes in one column."""
    starts, ends = home.span(60, home.pick(20, 31))
    kwh, pump = home.load(starts, ends), home.heating(starts, ends, 4000)
    outdoor = home.outdoor(starts)
    whole, warmth = numbers(kwh + pump, 3), numbers(outdoor, 1)
    hole = int(home.rng.integers(50, 300))
    if home.rng.random() < 0.5:
        warmth[hole : hole + 30] = [""] * 30
    head = ",".join(
        (
            home.word("time"),
            unit(home, home.word("import")),
            unit(home, home.word("heat pump")),
            unit(home, home.word("outdoor"), "°C"),
        )
    )
    lines = rows(",", written(starts, "local", home.place, home.pick(*ISO)), whole, numbers(pump, 3), warmth)
    return text(head, lines), Truth(
        home.place, starts, ends, {"import": kwh + pump, "heat pump": pump}, celsius={"outdoor": outdoor}
    )


def monthly_totals(home: Home) -> tuple[str, Truth]:
    """A total a month, its name or its first day."""
    starts, ends = home.local_months(home.pick(12, 24))
    kwh = home.load(starts, ends)
    form = home.pick("%Y-%m", "%B %Y", "%b %Y", "%m/%Y", "%Y-%m-01")
    head = f"{home.pick('Month', home.word('date'))},{unit(home, home.word('import'))}"
    return text(head, rows(",", written(starts, "local", home.place, form), numbers(kwh, home.pick(0, 1)))), Truth(
        home.place, starts, ends, {"import": kwh}
    )


def short_days(home: Home) -> tuple[str, Truth]:
    """Few days of days alone, all of them below thirteen: the order of day and month can't be seen from one, only from their run."""
    first = pd.Timestamp(2024, home.pick(1, 2, 5, 6, 11), 1)
    edges = pd.date_range(first, periods=12, freq="D").tz_localize(home.place.timezone).tz_convert("UTC")
    starts, ends = edges[:-1], edges[1:]
    kwh = home.load(starts, ends)
    head = f"{home.word('date')},{unit(home, home.word('import'))}"
    return text(head, rows(",", written(starts, "local", home.place, day_form(home)), numbers(kwh, 2))), Truth(
        home.place, starts, ends, {"import": kwh}
    )


SEEN = (
    plain_iso,
    with_offset,
    date_and_time,
    clock_of_twelve,
    unix_power,
    wide_days,
    register_rows,
    daily_from_to,
    register_hourly,
    register_monthly,
    daily_compact,
    compact_bare,
    daily_bare,
    two_and_gas,
    hour_ending,
    hour_numbers,
    preamble,
    logger_registers,
    heat_meter,
    named_months,
    time_ranges,
    summer_time,
    standard_clock,
    utc_clock,
    no_unit,
    machine_and_weather,
    monthly_totals,
    short_days,
)

"""Layouts kept back: the reader was mended without a look at what it made of these.

Written without knowledge of the reader.
"""

import numpy as np
import pandas as pd

from meter.reading.invented_exports import ISO, day_form, marks, text, unit
from meter.reading.invented_meters import Home, Truth, numbers, rows, written


def grouped_thousands(home: Home) -> tuple[str, Truth]:
    """A register with marks between the thousands, read now and then by hand."""
    days = np.cumsum(home.rng.integers(6, 40, 14))
    first = pd.Timestamp(2023, 1, 1) + pd.Timedelta(days=int(home.rng.integers(0, 300)))
    edges = (
        pd.DatetimeIndex([first + pd.Timedelta(days=int(d)) for d in days])
        .tz_localize(home.place.timezone)
        .tz_convert("UTC")
    )
    kwh = home.load(edges[:-1], edges[1:])
    reading = np.round(home.rng.uniform(1100, 70000) + np.concatenate(([0], np.cumsum(kwh))), 1)
    mark, point = home.pick(("'", "."), (" ", ","), (".", ","), (",", "."))
    texts = [f"{v:,.1f}".replace(".", "p").replace(",", mark).replace("p", point) for v in reading]
    head = ";".join((home.word("date"), unit(home, "Meter reading")))
    return text(head, rows(";", written(edges, "local", home.place, day_form(home)), texts)), Truth(
        home.place, edges[:-1], edges[1:], {"import": np.diff(reading)}
    )


def wide_hours(home: Home) -> tuple[str, Truth]:
    """One row a day, hours named H1 to H24 or 1 to 24, a total behind them."""
    first = pd.Timestamp(2024, home.pick(1, 2, 5, 6, 7, 8, 12), 2)
    edges = pd.DatetimeIndex([first, first + pd.Timedelta(days=20)]).tz_localize(home.place.timezone).tz_convert("UTC")
    starts = pd.date_range(edges[0], edges[1], freq="h", inclusive="left")
    ends = starts + pd.Timedelta(hours=1)
    kwh = np.round(home.load(starts, ends), 3)
    separator, comma = marks(home)
    names = home.pick(
        [f"H{h}" for h in range(1, 25)], [f"H{h:02d}" for h in range(1, 25)], [str(h) for h in range(1, 25)]
    )
    table = kwh.reshape(20, 24)
    form = home.pick("%Y-%m-%d", day_form(home))
    days = [(first + pd.Timedelta(days=d)).strftime(form) for d in range(20)]
    lines = [
        separator.join([d, *numbers(row, 3, comma), *numbers(row.sum(keepdims=True), 3, comma)])
        for d, row in zip(days, table, strict=True)
    ]
    return text(separator.join([home.word("date"), *names, "Total (kWh)"]), lines), Truth(
        home.place, starts, ends, {"import": kwh}
    )


def quality_flags(home: Home) -> tuple[str, Truth]:
    """Number of meter, unit and quality repeated in each row."""
    starts, ends = home.span(home.pick(15, 30), home.pick(7, 14))
    kwh = home.load(starts, ends)
    meter = home.pick("EX40917265", str(int(home.rng.integers(10**9, 10**13 - 1))))
    separator, comma = marks(home)
    count = len(kwh)
    flags = ["estimated" if home.rng.random() < 0.03 else "measured" for _ in range(count)]
    head = separator.join(
        (
            home.pick("Meter", "Serial", "Metering point"),
            home.word("from"),
            home.word("to"),
            home.pick("Value", "Quantity", home.word("import")),
            "Unit",
            "Quality",
        )
    )
    form = home.pick(*ISO, f"{day_form(home)} %H:%M")
    lines = rows(
        separator,
        [meter] * count,
        written(starts, "local", home.place, form),
        written(ends, "local", home.place, form),
        numbers(kwh, 3, comma),
        ["kWh"] * count,
        flags,
    )
    return text(head, lines), Truth(home.place, starts, ends, {"import": kwh})


def footers(home: Home) -> tuple[str, Truth]:
    """A total and a remark below the rows."""
    starts, ends = home.span(home.pick(30, 60), home.pick(14, 28)) if home.rng.random() < 0.6 else home.local_days(90)
    kwh = np.round(home.load(starts, ends), 3)
    separator, comma = marks(home)
    form = home.pick(*ISO) if len(kwh) > 90 else "%Y-%m-%d"
    head = separator.join((home.word("time"), unit(home, home.word("import"))))
    lines = rows(separator, written(starts, "local", home.place, form), numbers(kwh, 3, comma))
    total = separator.join((home.pick("Total", "Sum", "Summe"), numbers(kwh.sum(keepdims=True), 3, comma)[0]))
    return text(head, lines, home.pick([""], []), total, home.pick([], ["Data without guarantee"])), Truth(
        home.place, starts, ends, {"import": kwh}
    )


def quoted_commas(home: Home) -> tuple[str, Truth]:
    """Commas between cells and commas in quoted numbers."""
    starts, ends = home.span(home.pick(15, 60), home.pick(7, 14))
    kwh, export = home.both_ways(starts, ends)
    names = ",".join(
        f'"{name}"' for name in (home.word("time"), unit(home, home.word("import")), unit(home, home.word("export")))
    )
    stamps = written(starts, "local", home.place, home.pick(*ISO, f"{day_form(home)} %H:%M"))
    lines = [
        f'"{s}","{a}","{b}"' for s, a, b in zip(stamps, numbers(kwh, 3, True), numbers(export, 3, True), strict=True)
    ]
    return text(names, lines), Truth(home.place, starts, ends, {"import": kwh, "export": export})


def net_signed(home: Home) -> tuple[str, Truth]:
    """One column, export as negative values."""
    starts, ends = home.span(home.pick(30, 60), home.pick(14, 28))
    kwh, export = home.both_ways(starts, ends)
    head = f"{home.word('time')},{unit(home, home.pick('Net', 'Grid', 'Net energy'))}"
    return text(
        head, rows(",", written(starts, "local", home.place, home.pick(*ISO)), numbers(kwh - export, 3))
    ), Truth(home.place, starts, ends, {"import": kwh, "export": export})


def newest_first(home: Home) -> tuple[str, Truth]:
    """Half-hours, newest first, over the end of summer time or not."""
    first = pd.Timestamp(2024, home.pick(10, 11, 3, 6, 1), 1)
    edges = (
        pd.DatetimeIndex([first, first + pd.DateOffset(months=1)]).tz_localize(home.place.timezone).tz_convert("UTC")
    )
    starts = pd.date_range(edges[0], edges[1], freq="30min", inclusive="left")
    ends = starts + pd.Timedelta(minutes=30)
    kwh = home.load(starts, ends)
    separator, comma = marks(home)
    head = separator.join((home.word("from"), unit(home, home.word("import"))))
    lines = rows(
        separator,
        written(starts, "local", home.place, home.pick(*ISO, f"{day_form(home)} %H:%M")),
        numbers(kwh, 3, comma),
    )
    return text(head, lines[::-1]), Truth(home.place, starts, ends, {"import": kwh})


def two_homes(home: Home) -> tuple[str, Truth]:
    """Two meter points below each other or row by row: no reading of one home is right."""
    starts, ends = home.span(60, home.pick(14, 28))
    kwh, other = home.load(starts, ends), home.load(starts, ends)
    stamps = written(starts, "local", home.place, home.pick(*ISO))
    first, second = ("10000000011", "10000000028")
    one, two = (
        rows(",", [first] * len(kwh), stamps, numbers(kwh, 3)),
        rows(",", [second] * len(kwh), stamps, numbers(other, 3)),
    )
    lines = [line for pair in zip(one, two, strict=True) for line in pair] if home.rng.random() < 0.5 else one + two
    return text(
        f"{home.pick('Meter point', 'Connection', 'Meter')},{home.word('time')},{unit(home, home.word('import'))}",
        lines,
    ), Truth(home.place, starts, ends, {}, told=("two homes",))


def whole_megawatt_hours(home: Home) -> tuple[str, Truth]:
    """A heat meter in MWh without decimals: too coarse for an hour."""
    starts, ends = home.span(60, home.pick(28, 60))
    heat = home.heating(starts, ends, 16000)
    edges = starts.append(ends[-1:])
    reading = np.floor((home.rng.uniform(1000, 90000) + np.concatenate(([0], np.cumsum(heat)))) / 1000)
    head = f"{home.word('time')},{unit(home, home.word('heat'), 'MWh')}"
    return text(head, rows(",", written(edges, "local", home.place, home.pick(*ISO)), numbers(reading, 0))), Truth(
        home.place, starts, ends, {}, told=("too coarse",)
    )


def row_numbers(home: Home) -> tuple[str, Truth]:
    """The number of the row in front, with or without a name."""
    starts, ends = home.span(home.pick(15, 30, 60), home.pick(7, 14))
    kwh = home.load(starts, ends)
    separator, comma = marks(home)
    head = separator.join((home.pick("", "No", "#", "row"), home.word("time"), unit(home, home.word("import"))))
    offset = home.pick(0, 1)
    lines = rows(
        separator,
        [str(i + offset) for i in range(len(kwh))],
        written(starts, "local", home.place, home.pick(*ISO, f"{day_form(home)} %H:%M")),
        numbers(kwh, 3, comma),
    )
    return text(head, lines), Truth(home.place, starts, ends, {"import": kwh})


def days_as_columns(home: Home) -> tuple[str, Truth]:
    """Times down, days across."""
    first = pd.Timestamp(2024, home.pick(1, 2, 5, 6, 7, 8, 12), 3)
    edges = pd.DatetimeIndex([first, first + pd.Timedelta(days=14)]).tz_localize(home.place.timezone).tz_convert("UTC")
    starts = pd.date_range(edges[0], edges[1], freq="h", inclusive="left")
    kwh = home.load(starts, starts + pd.Timedelta(hours=1))
    separator, comma = marks(home)
    form = home.pick("%Y-%m-%d", day_form(home))
    head = separator.join([home.word("time"), *[(first + pd.Timedelta(days=d)).strftime(form) for d in range(14)]])
    table = np.array(numbers(kwh, 3, comma)).reshape(14, 24).T
    return text(head, [separator.join([f"{h:02d}:00", *row]) for h, row in enumerate(table)]), Truth(
        home.place, starts, starts + pd.Timedelta(hours=1), {"import": kwh}
    )


def kinds_as_rows(home: Home) -> tuple[str, Truth]:
    """Consumption and feed-in as rows of one file, one after the other or by turns."""
    starts, ends = home.span(home.pick(15, 60), home.pick(7, 14))
    kwh, export = home.both_ways(starts, ends)
    separator, comma = marks(home)
    stamps = written(starts, "local", home.place, home.pick(*ISO, "offset"))
    taken = rows(separator, stamps, [home.word("import")] * len(kwh), numbers(kwh, 3, comma), ["kWh"] * len(kwh))
    given = rows(separator, stamps, [home.word("export")] * len(kwh), numbers(export, 3, comma), ["kWh"] * len(kwh))
    lines = (
        taken + given if home.rng.random() < 0.5 else [line for pair in zip(taken, given, strict=True) for line in pair]
    )
    return text(
        separator.join(
            (home.word("from"), home.pick("Type", "Direction", "Kind"), home.pick("Value", "Energy"), "Unit")
        ),
        lines,
    ), Truth(home.place, starts, ends, {"import": kwh, "export": export})


def power_columns(home: Home) -> tuple[str, Truth]:
    """Mean power in kW, of quarter-hours; the head says kW."""
    starts, ends = home.span(15, home.pick(7, 14))
    kwh, export = home.both_ways(starts, ends)
    separator, comma = marks(home)
    head = separator.join(
        (
            home.pick("Start", home.word("from")),
            unit(home, home.word("import"), "kW"),
            unit(home, home.word("export"), "kW"),
        )
    )
    lines = rows(
        separator,
        written(starts, "local", home.place, home.pick(*ISO, f"{day_form(home)} %H:%M")),
        numbers(4 * kwh, 3, comma),
        numbers(4 * export, 3, comma),
    )
    return text(head, lines), Truth(home.place, starts, ends, {"import": kwh, "export": export})


def short_years(home: Home) -> tuple[str, Truth]:
    """Years of two digits."""
    starts, ends = home.span(home.pick(30, 60), home.pick(14, 28, 40))
    kwh = home.load(starts, ends)
    separator, comma = marks(home)
    form = (
        "%m/%d/%y %H:%M"
        if home.place.dates == "month"
        else home.pick("%d.%m.%y %H:%M", "%d/%m/%y %H:%M", "%d-%m-%y %H:%M")
    )
    head = separator.join((home.word("time"), unit(home, home.word("import"))))
    return text(head, rows(separator, written(starts, "local", home.place, form), numbers(kwh, 3, comma))), Truth(
        home.place, starts, ends, {"import": kwh}
    )


def sheet_days(home: Home) -> tuple[str, Truth]:
    """Stamps as a spreadsheet counts them: days since the end of 1899."""
    starts, ends = home.span(home.pick(30, 60), home.pick(14, 28))
    kwh = home.load(starts, ends)
    local = starts.tz_convert(home.place.timezone).tz_localize(None)
    serial = np.asarray((local - pd.Timestamp(1899, 12, 30)) / pd.Timedelta(days=1))
    head = f"{home.word('time')},{unit(home, home.word('import'))}"
    return text(head, rows(",", numbers(serial, 6), numbers(kwh, 3))), Truth(home.place, starts, ends, {"import": kwh})


LATER = (
    grouped_thousands,
    wide_hours,
    quality_flags,
    footers,
    quoted_commas,
    net_signed,
    newest_first,
    two_homes,
    whole_megawatt_hours,
    row_numbers,
    days_as_columns,
    kinds_as_rows,
    power_columns,
    short_years,
    sheet_days,
)

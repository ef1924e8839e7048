"""A year's machine in; its seasonal COP in each reference climate of EN 14825, with what it comes from, out."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial

from simkit.errors import CaseError
from simkit.explaining.catalogue import slug
from simkit.explaining.chain import Figure, Link, Links, fixed
from simkit.notation import Notation
from simkit.performance.en14825 import StandardSeason
from simkit.year.compare import Comparison
from simkit.year.seasonal import standard_seasons

METHOD = "EN 14825"


def seasons(found: Comparison) -> Iterator[Figure]:
    """The reference seasons of every machine, and what is sensible in the field at its design flow."""
    for year in found.years:
        try:
            known = standard_seasons(year)
            band = year.seasonal.band
        except CaseError:  # no heat pump
            continue
        prefix = f"season.{slug(year.case.name)}." if len(found.years) > 1 else "season."
        for one in known:
            label = f"SCOP of the machine in the {one.climate.name} climate at {one.application_c} °C"
            key = f"{prefix}{one.climate.name}.{one.application_c}"
            yield fixed(key, label, "spf", (year,), one.scop, partial(_links, one, year.case.notation))
        for end, value in (("low", band.low), ("high", band.high)):
            label = f"{end} end of the field band at a design flow of {band.design_flow_c:.0f} °C"
            link = Link(label, f"read at {band.design_flow_c:.0f} °C", value, "–", 2, band.source)
            yield fixed(f"{prefix}field.{end}", label, "spf", (year,), value, partial(list, [link]))


def _links(season: StandardSeason, notation: Notation) -> Links:
    """From the load of the design day, bin by bin in sums, to heat over electricity."""
    n, sums = notation.number, season.account.sum(numeric_only=True)
    bins = int((season.account["hours"] > 0.0).sum())
    design = f"carried by the machine alone down to {n(season.bivalent_c, 1)} °C"
    worked = " + ".join(f"{n(sums[name])} kWh" for name in ("machine_kwh", "backup_kwh", "off_kwh"))
    return [
        Link("Load on the design day", design, season.design_kw, "kW", 1, f"{METHOD}, [heat_pump] point"),
        Link("Heat of the season", f"load × hours in {bins} bins of 1 K", sums["heat_kwh"], "kWh", 0, METHOD),
        Link("Electricity of the machine", "heat ÷ COP, bin by bin", sums["machine_kwh"], "kWh", 0, "test points"),
        Link("Electricity of the heater", "what the machine lacks", sums["backup_kwh"], "kWh", 0, METHOD),
        Link("Electricity while off", "hours × power by mode", sums["off_kwh"], "kWh", 0, "[heat_pump] standby_w"),
        Link("SCOP", f"{n(sums['heat_kwh'])} kWh ÷ ({worked})", season.scop, "–", 2, METHOD),
    ]

"""A home in; panels and a battery to try on it, the year and the shares that they make out. No widgets."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from simkit.answers.answer import Answer, Picture
from simkit.answers.money.battery import battery_answer
from simkit.answers.year import year_tables
from simkit.case.case import Case
from simkit.decide.battery.worth import battery_worth
from simkit.figures.year.energy_flows import source_use_sentence, source_use_squares
from simkit.panels.fields import Choice, Field, Number
from simkit.panels.flow_and_times.model import Trial
from simkit.panels.settings import Values

SURPLUS, CHEAP = "surplus", "cheap"
SOUTH_DEG, USUAL_TILT_DEG = 180.0, 35.0
POWER_BY_KWH, MOST_POWER_KW = 0.5, 5.0  # own: charged in two hours, and no more than a usual inverter gives


class PowerTrial(Trial):
    """Panels and a battery that are tried on a home.

    Parameters
    ----------
    start
        A case, or a home form, whose changes are then followed.
    folder
        Where a file is written; None for that of the form, or the current one.
    """

    file = "my_panels.toml"

    @property
    def groups(self) -> Mapping[str, tuple[str, ...]]:
        """Panels, and the battery."""
        return {"Panels": ("kwp", "tilt_deg", "azimuth_deg"), "Battery": ("battery_kwh", "fill")}

    def shown(self, name: str) -> bool:
        """Whether a setting has a meaning: no tilt without panels, no filling without a battery."""
        other = {"tilt_deg": "kwp", "azimuth_deg": "kwp", "fill": "battery_kwh"}.get(name)
        return other is None or bool(self.values[other])

    def _fields(self) -> dict[str, Field]:
        several = len(self._base.solar.array) > 1 if self._base.solar else False
        why = "moving it puts all panels on one roof; 0: none" if several else "0: none"
        fields: list[Field] = [
            Number("kwp", "Size of the panels", "kWp", 0.0, 15.0, 0.2, why, 4),
            Number("tilt_deg", "Tilt", "°", 0.0, 90.0, 1.0, "from the horizontal", 35),
            Number("azimuth_deg", "Direction", "°", 0.0, 360.0, 5.0, "90 east, 180 south, 270 west", 180),
            Number("battery_kwh", "Battery, usable", "kWh", 0.0, 20.0, 0.5, "0: none", 5),
            Choice("fill", "The battery takes", ((SURPLUS, "surplus sun"), (CHEAP, "surplus sun and cheap hours"))),
        ]
        return {one.name: one for one in fields}

    def _first(self) -> Values:
        solar, battery = self._base.solar, self._base.battery
        roof = solar.array[0] if solar else None
        return {
            "kwp": sum(one.kwp for one in solar.array) if solar else 0.0,
            "tilt_deg": roof.tilt_deg if roof else USUAL_TILT_DEG,
            "azimuth_deg": roof.azimuth_deg if roof else SOUTH_DEG,
            "battery_kwh": battery.usable_kwh if battery else 0.0,
            "fill": CHEAP if battery is not None and battery.fill_below_price is not None else SURPLUS,
        }

    def _changes(self) -> dict[str, object]:
        changes: dict[str, object] = {}
        if self.differs("kwp", "tilt_deg", "azimuth_deg"):
            roof = {name: self.values[name] for name in ("kwp", "tilt_deg", "azimuth_deg")}
            changes["solar"] = None
            if roof["kwp"]:
                changes["solar"] = {"array": [roof], "inverter_kw": roof["kwp"]}
        if self.differs("battery_kwh", "fill"):
            changes["battery"] = self._battery(float(self.values["battery_kwh"] or 0.0)) or None
        return changes

    def _battery(self, usable_kwh: float) -> dict[str, object]:
        """The battery as a table of the case; what the home's own says of it beside size and filling is kept."""
        if not usable_kwh:
            return {}
        power = min(POWER_BY_KWH * usable_kwh, MOST_POWER_KW)
        kept = {"charge_kw": power, "discharge_kw": power} | dict(self._base.stated.get("battery", {}))
        kept["usable_kwh"] = usable_kwh
        if self.differs("fill"):
            kept.pop("fill_below_price", None)
            if self.values["fill"] == CHEAP:
                kept["fill_below_price"] = between_prices(self._base)
        return kept

    def answer(self, *, ranged: bool = False) -> Answer:
        """The year, where its energy goes, and once nothing moves what the next kWh of battery would save."""
        said = super().answer(ranged=ranged)
        return self._with_sizes(replace(said, pictures=said.pictures[:1])) if ranged else said

    def _with_sizes(self, said: Answer) -> Answer:
        flows, written = self.year.energy_flows, self.case.notation
        squares = Picture(
            "flows",
            lambda figure: source_use_squares(flows, notation=written, figure=figure),
            source_use_sentence(flows, notation=written),
        )
        energy = [table for table in year_tables(self.year) if table.name == "energy"]
        pictures, tables = [*said.pictures, squares], [*said.tables, *energy]
        if self.case.battery is not None:
            sizes = battery_answer(battery_worth(self.case, ranges=False))
            tables += [table for table in sizes.tables if table.name == "sizes"]
            pictures += sizes.pictures[:1]
        return replace(said, tables=tuple(tables), pictures=tuple(pictures))


def between_prices(case: Case) -> float:
    """The middle of the lowest and the highest price of a tariff, below which an hour is cheap [currency/kWh]."""
    prices = [band.price_per_kwh for band in case.tariff.band or ()]
    return round((min(prices) + max(prices)) / 2.0, 4) if prices else 0.2

"""What no single table can check: the sentence of every rule between the parts of a case."""

from __future__ import annotations

from typing import Any

import pytest

from case.stated import made, only, sentences, table, with_path


def alone(*without: str, **changes: Any) -> dict[str, Any]:
    return table("option", "baseline", *without, **changes)


def changed(base: dict[str, Any], **values: Any) -> dict[str, Any]:
    for path, value in values.items():
        with_path(path.replace("__", "."), value, base)
    return base


FUEL_LOSS = {"fuel_amount": 1500.0, "fuel_unit": "litre"}

FAULTS = [
    (alone("heat_pump"), 'case.toml: heat_source = "heat_pump" needs a table [heat_pump], which is missing. Add '
     '[heat_pump], '
     "or choose another heat_source."),
    (alone("boiler", heat_source="boiler"), 'case.toml: heat_source = "boiler" needs a table [boiler], which is '
     'missing. Add '
     "[boiler], or choose another heat_source."),
    (alone("fuel", heat_source="boiler"), 'case.toml: heat_source = "boiler" needs a table [fuel], which is missing. '
     'Add '
     "[fuel], or choose another heat_source."),
    (alone(heat_source="hybrid"), 'case.toml: heat_source = "hybrid" needs a table [hybrid], which is missing. Add '
     '[hybrid], '
     "or choose another heat_source."),
    (changed(alone("boiler"), home__loss=FUEL_LOSS), "case.toml: [home.loss] fuel_amount = 1500 needs a table "
     "[boiler], which "
     "is missing: heat is fuel times its efficiency. Add [boiler] with space_efficiency and water_efficiency of the "
     "boiler "
     "that burnt it."),
    (changed(alone("fuel"), home__loss=FUEL_LOSS), "case.toml: [home.loss] fuel_amount = 1500 needs a table [fuel], "
     "which is "
     "missing: a litre must be turned into kWh. Add [fuel] with kwh_per_unit, or give the amount in kWh with "
     "fuel_unit = "
     '"kWh".'),
    (changed(alone(), home__loss={"fuel_amount": 1500.0, "fuel_unit": "m3"}), 'case.toml: [home.loss] fuel_unit = '
     '"m3" can\'t '
     'be turned into kWh: [fuel] is sold in "litre". Write the amount in "litre" or in "kWh".'),
    (alone(as_operated=True), 'case.toml: as_operated = true holds the set-points of the boiler, and heat_source is not '
     '"boiler". '
     "Take as_operated out, or set it in the option that keeps the boiler."),
    (changed(alone(as_operated=True, heat_source="boiler"), boiler={}), "case.toml: [boiler] as_operated = true needs the "
     "set-points "
     "that were held with the boiler, which are missing. Add [boiler.as_operated] with periods and setback_c."),
    (changed(alone(), controls__design_flow_c=65), "case.toml: [controls] design_flow_c = 65 is above what the heat "
     "pump can "
     "give: [heat_pump] highest_flow_c = 62. Write design_flow_c = 62 or less, or state the highest_flow_c of a "
     "machine that goes "
     "higher."),
    (changed(alone(), heat_pump__highest_flow_c=40, controls__design_flow_c=38, controls__floor_c=41),
     "case.toml: [controls] floor_c = 41 is above what the heat pump can give: [heat_pump] highest_flow_c = 40. "
     "Write a floor "
     "below it, such as 25."),
    (changed(alone(), emitters__sized_for_flow_c=25, controls__setback_c=26), "case.toml: [emitters] "
     "sized_for_flow_c = 25 "
     "is not above the warmest room, 26 °C, and water heats a room only from above it. Write a flow temperature well "
     "above "
     "the room, such as 50."),
    (changed(alone(), site__design_outdoor_c=6.0), "case.toml: [site] design_outdoor_c = 6 is not below the coldest "
     "month of "
     "[weather] mean_c, 5.3 °C, and 99.6 % of all hours are warmer than it. Look up the design temperature of the "
     "place; it "
     "lies some kelvin below the coldest month."),
    (changed(alone(), site__design_outdoor_c=5.2, controls__heating_limit_c=5.0), "case.toml: [controls] heating_limit_c = 5 is "
     "not above "
     "[site] design_outdoor_c = 5.2, so that no heat would ever be needed. Write the outdoor temperature at which "
     "heating "
     "begins, such as 16."),
    (alone(heat_pump={"regression": "staffell2012_ground", "capacity_7_35_kw": 7.0, "source": "air"}),
     'case.toml: [heat_pump] source = "air" contradicts regression = "staffell2012_ground". Leave source out, or '
     'choose the '
     "regression for that source."),
    (alone(heat_source="boiler", fuel={"kind": "none"}), 'case.toml: [fuel] kind = "none" leaves nothing to burn with '
     'heat_source = "boiler". Name the fuel: one of oil, gas, lpg, or electricity.'),
    (alone(heat_source="hybrid", hybrid={}, fuel={"kind": "electricity"}), 'case.toml: [fuel] kind = "electricity" '
     'makes no '
     'hybrid: heat_source = "hybrid" burns a fuel beside the heat pump. Use backup_kw of [heat_pump] for electric '
     'back-up.'),
    (alone(currency="EURO"), 'case.toml: currency = "EURO" is not a currency code of ISO 4217. Perhaps "EUR" is '
     'meant.'),
    (alone(currency="1"), 'case.toml: currency = "1" is not a currency code of ISO 4217. Write a code such as "EUR".'),
    (alone(currency="GBP"), 'case.toml: currency = "GBP" is not the currency of the tariff, "EUR". Use one currency '
     "throughout: prices are never converted."),
]  # fmt: skip


@pytest.mark.parametrize(("stated", "sentence"), FAULTS, ids=[sentence[11:60] for _, sentence in FAULTS])
def test_the_sentence_of_a_rule(stated: dict[str, Any], sentence: str) -> None:
    assert only(stated) == sentence


def test_a_part_that_is_there_but_broken_is_not_called_missing() -> None:
    found = sentences(with_path("heat_pump.highest_flow_c", 620, alone()))
    assert len(found) == 1
    assert "highest_flow_c = 620 is outside" in found[0]


def test_a_fault_elsewhere_hides_none_of_what_may_not_stand_together() -> None:
    found = sentences(alone(currency="EURO", heat_source="boiler", fuel={"kind": "none"}))
    assert any('currency = "EURO" is not a currency code' in sentence for sentence in found)
    assert any('kind = "none" leaves nothing to burn with heat_source = "boiler"' in sentence for sentence in found)


GOOD = [
    changed(alone(), home__loss={"fuel_amount": 1500.0, "fuel_unit": "litre"}),
    changed(alone("fuel"), home__loss={"fuel_amount": 15000.0, "fuel_unit": "kWh"}),
    changed(alone(heat_source="boiler"), controls__design_flow_c=75),
    alone("heat_pump", heat_source="boiler", as_operated=True),
    alone(heat_source="hybrid", hybrid={}),
    alone("heat_pump", heat_source="boiler", fuel={"kind": "electricity"}),
    alone(heat_pump={"regression": "ruhnau2019_groundwater", "capacity_7_35_kw": 7.0, "source_c": 10.0}),
]


@pytest.mark.parametrize("stated", GOOD, ids=range(len(GOOD)))
def test_what_goes_together_is_let_through(stated: dict[str, Any]) -> None:
    assert made(stated).name == "Sandbank cottage"

"""The nomenclature: names end in their unit, labels carry it, nothing is named twice."""

from __future__ import annotations

import pytest

from simkit.errors import CaseError
from simkit.quantities import QUANTITIES, UNIT_ENDINGS, Quantity, column_label, energy_name, quantity, unit_of

WITHOUT_UNIT = {"comfort", "quantity", "described", "fitted"}  # words, and what stands beside its unit
HOURLY = [
    "outdoor_c",
    "needed_c",
    "set_point_c",
    "air_c",
    "fabric_c",
    "flow_c",
    "space_heat_kw",
    "solar_gain_kw",
    "internal_gain_kw",
    "vented_kw",
    "hot_water_kw",
    "tap_water_kw",
    "tap_water_unmet_kw",
    "cylinder_loss_kw",
    "cylinder_hot_c",
    "cylinder_cold_c",
    "cylinder_hot_share",
    "water_share",
    "heat_pump_heat_kw",
    "heat_pump_kw",
    "cop",
    "capacity_kw",
    "least_output_kw",
    "load_ratio",
    "backup_heater_kw",
    "immersion_kw",
    "pumps_kw",
    "standby_kw",
    "boiler_heat_kw",
    "boiler_kw",
    "fuel_kw",
    "household_kw",
    "car_kw",
    "solar_kw",
    "curtailed_kw",
    "battery_charge_kw",
    "battery_discharge_kw",
    "battery_kwh",
    "import_kw",
    "export_kw",
    "import_price_per_kwh",
    "export_price_per_kwh",
    "below_k",
    "over_k",
    "humidity",
    "ghi_w_m2",
    "dni_w_m2",
    "dhi_w_m2",
]


def test_every_hourly_column_is_in_the_nomenclature() -> None:
    assert [name for name in HOURLY if name not in QUANTITIES] == []


@pytest.mark.parametrize("name", QUANTITIES)
def test_each_quantity_is_whole_and_its_name_ends_in_its_unit(name: str) -> None:
    known = QUANTITIES[name]
    assert known.name == name
    assert known.unit == (unit_of(name) or "")
    assert known.meaning.endswith(".")
    if known.unit:
        assert known.unit not in known.label
    assert column_label(name) == (f"{known.label} [{known.unit}]" if known.unit else known.label)
    assert known.unit or name in WITHOUT_UNIT or name.endswith("_words")


def test_no_two_columns_of_one_unit_share_a_label() -> None:
    seen = [(known.label, known.unit) for known in QUANTITIES.values()]
    assert sorted(seen) == sorted(set(seen))


@pytest.mark.parametrize("ending", UNIT_ENDINGS)
def test_every_unit_ending_is_used(ending: str) -> None:
    assert any(name.endswith(ending) for name in QUANTITIES)


@pytest.mark.parametrize(
    "name", [name for name in HOURLY if name.endswith("_kw") and name not in ("capacity_kw", "least_output_kw")]
)
def test_each_power_has_its_energy_under_the_same_label(name: str) -> None:
    energy = QUANTITIES[energy_name(name)]
    assert energy.unit == "kWh"
    assert energy.label == QUANTITIES[name].label


def test_the_longest_ending_tells_the_unit() -> None:
    assert unit_of("import_price_per_kwh") == "currency/kWh"
    assert unit_of("import_kwh") == "kWh"
    assert unit_of("year_cost_low") == "currency"
    assert unit_of("nameless") is None


def test_labels_as_they_stand_on_an_axis() -> None:
    assert column_label("air_c") == "Room temperature [°C]"
    assert column_label("import_price_per_kwh") == "Import price [currency/kWh]"
    assert column_label("import_price_per_kwh", currency="DKK") == "Import price [DKK/kWh]"


def test_an_unknown_name_is_answered_with_the_nearest() -> None:
    with pytest.raises(CaseError) as caught:
        quantity("outdor_c")
    assert str(caught.value) == "column: 'outdor_c' is not a quantity of this kit. Write outdoor_c."
    with pytest.raises(CaseError) as caught:
        quantity("qqqq")
    assert str(caught.value) == (
        "column: 'qqqq' is not a quantity of this kit. Use one of the names in simkit.quantities.QUANTITIES."
    )


def test_the_nomenclature_is_read_only() -> None:
    with pytest.raises(TypeError):
        QUANTITIES["x_kw"] = Quantity("x_kw", "kW", "x", "x.")  # type: ignore[index]

"""Defaults filled in: each with a source, each where it belongs, each named among the notes."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from typing import Any

import pytest
from references import Reference
from weather.climates import INLAND

from case.stated import made, table, with_path
from simkit.case.build import Case
from simkit.case.defaults import full_table
from simkit.case.derived_defaults import FOLLOWERS, followers
from simkit.case.shipped import default_sources, default_table
from simkit.schema.overlay import parts_of
from simkit.schema.section import Section
from simkit.validation.published import published

SOURCE = re.compile(
    r"(own|common practice|from memory|EN ISO \d+|EN \d+|WHO |HSE |Regulation \(EU\)|BDEW |SDES |SAP |Dobos |UK "
    r"government |HM Treasury |Weiss et al\. |Fernox, )"
)


def leaves(tables: Mapping[str, Any], path: tuple[str, ...] = ()) -> Iterator[tuple[tuple[str, ...], Any]]:
    for key, value in tables.items():
        if isinstance(value, Mapping):
            yield from leaves(value, (*path, key))
        else:
            yield (*path, key), value


def test_every_default_has_a_source() -> None:
    sources = default_sources()
    paths = {path for path, _ in leaves(default_table())}
    assert set(sources) == paths
    for path, source in sources.items():
        assert SOURCE.match(source), f"{path}: {source}"


def _belongs(section: type[Section], path: tuple[str, ...]) -> bool:
    part = parts_of(section).get(path[0])
    if part is None:
        return False
    return len(path) == 1 or (part.section is not None and _belongs(part.section, path[1:]))


def test_every_default_is_a_key_of_a_case() -> None:
    for path, _ in leaves(default_table()):
        if path[0] == "by_kind":
            path = (path[1], *path[3:])  # noqa: PLW2901
        elif path[0] == "each":
            path = path[1:]  # noqa: PLW2901
        elif path[0] == "derived":
            continue
        assert _belongs(Case, path), path


LEAST = {
    "name": "least",
    "currency": "EUR",
    "heat_source": "heat_pump",
    "tariff": "example_tariff.toml",
    "site": {
        "zone": "Europe/Dublin",
        "latitude_deg": 53.3,
        "longitude_deg": -6.2,
        "year": 2025,
        "design_outdoor_c": -2,
    },
    "weather": {"mean_c": [5.3, 5.4, 6.6, 8.2, 10.9, 13.5, 15.4, 15.2, 13.4, 10.6, 7.4, 5.8]},
    "home": {"floor_area_m2": 100, "loss": {"w_per_k": 180}},
    "emitters": {"sized_for_flow_c": 50},
    "heat_pump": {"regression": "staffell2012_air", "capacity_7_35_kw": 7},
    "hot_water": {"volume_l": 180, "target_c": 60},
    "household": {"annual_kwh": 3000},
}


def test_the_least_that_must_be_said() -> None:
    case = made(LEAST)
    assert case.site.country == "IE"
    assert case.home.volume_m3 == 250.0
    assert [(window.area_m2, window.azimuth_deg) for window in case.home.window] == [(8.0, 180.0), (6.0, 0.0)]
    assert case.controls.periods == case.comfort.periods
    assert case.controls.design_flow_c == 50.0
    assert case.controls.flow == "compensated"
    assert case.heat_pump is not None
    assert case.heat_pump.points_hold is None, "belongs to test points, and there are none"
    assert (case.boiler, case.fuel, case.hybrid, case.solar, case.battery) == (None,) * 5
    assert case.hot_water.loss_class == "C"
    assert case.hot_water.litres_per_day_at_40 == 115.0, "fifty for each of 2.3 people"
    assert made(LEAST | {"household": {"annual_kwh": 3000, "people": 4}}).hot_water.litres_per_day_at_40 == 200.0
    assert made(LEAST | {"hot_water": {**LEAST["hot_water"], "tapping": "M"}}).hot_water.litres_per_day_at_40 is None
    assert case.hot_water.coil_ua_w_per_k == 750.0
    assert case.home.loss.fuel_includes_water is None


@pytest.mark.parametrize(("regression", "scale"), [("ruhnau2019_air", 1.0), ("staffell2012_air", 0.9)])
def test_a_regressions_own_field_factor_is_counted_once(regression: str, scale: float) -> None:
    """Ruhnau et al. 2019 (Scientific Data 6:189) multiply COP by 0.85 for field conditions; Staffell et al. don't."""
    case = made(LEAST | {"heat_pump": {**LEAST["heat_pump"], "regression": regression}})
    assert case.heat_pump is not None
    assert case.heat_pump.efficiency_scale == scale
    assert any("efficiency_scale = 1 (the regression holds" in note for note in case.notes) == (scale == 1.0)


@pytest.mark.parametrize(
    "path", [f"{name}.{key}" for name, keys in LEAST.items() if isinstance(keys, dict) for key in keys]
)
def test_nothing_of_the_least_can_be_left_out(path: str) -> None:
    from case.stated import sentences

    stated = {name: dict(keys) if isinstance(keys, dict) else keys for name, keys in LEAST.items()}
    assert sentences(with_path(path, ..., stated))


WAYS: list[tuple[str, Any, str, str | None]] = [
    ("hot_water.standing_loss_w", 90.0, "hot_water.loss_class", None),
    ("hot_water.reheat_minutes", 90.0, "hot_water.coil_ua_w_per_k", None),
    ("household.file", "load.csv", "household.profile", None),
]


@pytest.mark.parametrize(("path", "value", "default", "found"), WAYS, ids=[path for path, *_ in WAYS])
def test_a_default_way_gives_way_to_the_one_that_was_said(
    path: str, value: Any, default: str, found: str | None
) -> None:
    case = made(with_path(path, value))
    section, key = default.split(".")
    assert getattr(getattr(case, section), key) == found
    assert not any(f"{key} =" in note and f"[{section}]" in note for note in case.notes)


def test_defaults_that_belong_to_a_way_come_with_it() -> None:
    case = made(with_path("home.loss", {"fuel_amount": 1500, "fuel_unit": "litre"}))
    assert case.home.loss.fuel_includes_water is True
    hours = made(table(weather={"file": "x.epw"}))
    assert (hours.weather.bridge_hours, hours.weather.daily_range_k, hours.weather.humidity) == (0, None, None)


KINDS = [
    ("emitters", {"kind": "radiators", "rated_kw": 12.0}, "exponent", 1.3),
    ("emitters", {"kind": "underfloor", "rated_kw": 12.0}, "exponent", 1.1),
    ("emitters", {"kind": "fan convectors", "rated_kw": 12.0}, "exponent", 1.0),
    ("fuel", {"kind": "electricity"}, "kwh_per_unit", 1.0),
    ("fuel", {"kind": "gas", "unit": "m3", "price_per_unit": 1.0, "kwh_per_unit": 11.2}, "carbon_g_per_kwh", 183.0),
]


@pytest.mark.parametrize(("section", "keys", "key", "value"), KINDS, ids=[str(keys["kind"]) for _, keys, *_ in KINDS])
def test_defaults_by_kind(section: str, keys: dict[str, Any], key: str, value: float) -> None:
    case = made(table("option", "baseline", **{section: keys}))
    assert getattr(getattr(case, section), key) == value


def test_the_exponent_of_radiators_is_that_of_the_published_factors() -> None:
    source, rows = published("en442_correction_factors")
    exponent = default_table()["by_kind"]["emitters"]["radiators"]["exponent"]
    for row in rows:
        excess, factor = (float(row[key]) for key in ("excess_temperature_K", "published_factor"))
        Reference(factor, source, 6e-4, "three decimals").check((excess / 50) ** exponent)


# --- notes ------------------------------------------------------------------------------------------------------------
def test_what_was_assumed_is_said_with_its_source() -> None:
    notes = made(LEAST).notes
    for note in (
        "Assumed for you: [heat_pump] cycling_degradation = 0.9 (EN 14825 default)",
        'Assumed for you: [site] country = "IE" (the country of the zone, IANA)',
        "Assumed for you: [home] volume_m3 = 250 (common practice: 2.5 m times the floor area)",
        "Assumed for you: [controls] design_flow_c = 50 (own: the flow temperature that the emitters were sized for)",
        "Assumed for you: [emitters] exponent = 1.3 (EN 442: usual panel radiators)",
    ):
        assert note in notes
    windows = [note for note in notes if "[home] window =" in note]
    assert windows == [
        "Assumed for you: [home] window = area_m2 8, azimuth_deg 180, tilt_deg 90, transmittance 0.6, shading 0.6; "
        "area_m2 6, azimuth_deg 0, tilt_deg 90, transmittance 0.6, shading 0.6 (own: 0.08 of the floor area to the "
        "south "
        "and 0.06 to the north)"
    ]
    assert all("silent" not in note for note in notes)
    assert len(set(notes)) == len(notes)


def test_what_was_said_is_not_called_assumed() -> None:
    said = with_path("heat_pump.cycling_degradation", 0.9)
    assert not any("cycling_degradation" in note for note in made(said).notes)
    assert any("cycling_degradation" in note for note in made(table()).notes)


def test_every_assumption_is_a_value_of_the_case() -> None:
    case = made(table())
    full = full_table(Case, case.stated)
    for note in (note for note in case.notes if note.startswith("Assumed for you: ")):
        match = re.match(r"Assumed for you: (?:\[([\w.]+)\] )?(\w+) = ", note)
        assert match, note
        here: Any = full
        for key in (match[1] or "").split("."):
            here = here[key] if key else here
        tables = here if isinstance(here, list) else [here]
        assert all(match[2] in element for element in tables), note


def test_what_follows_is_what_is_listed() -> None:
    said = {
        **LEAST,
        "site": {**LEAST["site"], "fuse_a": 40.0},
        "household": {"size": "two people"},
        "fuel": {"kind": "gas", "unit": "m3", "calorific_value_mj_m3": 39.5, "volume_correction": 1.02264},
        "boiler": {"kind": "condensing"},
        "heat_pump": {"regression": "ruhnau2019_ground"},
        "weather": {"mean_c": INLAND["mean_c"]},
        "solar": {"array": [{"kwp": 2.0}, {"kwp": 1.5}]},
        "stove": {"kind": "stove", "amount": 2.0, "unit": "m3"},
        "money": {"terms": "nominal", "inflation": 0.03},
    }
    found = {place: value for place, value, _ in followers(said)}
    assert set(found) == set(FOLLOWERS)
    assert found["heat_pump", "source"] == "ground"
    assert (found["household", "annual_kwh"], found["household", "people"]) == (2890.0, 2.0)
    assert found["fuel", "kwh_per_unit"] == pytest.approx(11.2206, abs=5e-5)
    assert (found["site", "volts"], found["site", "phases"]) == (230.0, 1)
    assert found["solar", "inverter_kw"] == 3.5
    assert found["money", "discount_rate"] == pytest.approx(1.035 * 1.03 - 1)
    site = {"zone": "Europe/Vienna", "fuse_a": 35.0}  # common practice: homes there have three phases
    assert {place: value for place, value, _ in followers({**said, "site": site})}["site", "phases"] == 3
    site = {**site, "country": ["AT"]}
    assert {place: value for place, value, _ in followers({**said, "site": site})}["site", "phases"] == 1
    boiler = {"heat_source": "boiler", "emitters": {"rated_kw": 12}, "boiler": {"flow_c": 70}}
    assert {place: value for place, value, _ in followers(boiler)}["controls", "design_flow_c"] == 70

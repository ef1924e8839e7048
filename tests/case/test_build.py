"""Options laid over a case, and `vary`: what changes, what stays, and what is said when a change can't be."""

from __future__ import annotations

import time
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from case.stated import EXAMPLE, HERE, assert_plain, made, only, sentences, table, with_path
from simkit.case.build import OPTIONAL, Case, case_from, options_of, vary
from simkit.case.home.home import Window
from simkit.case.load import read_case
from simkit.errors import CaseError
from simkit.tariff.tariff import Tariff


@pytest.fixture(scope="module")
def case() -> Case:
    return read_case(EXAMPLE)


def refusal(case: Case, changes: dict[str, Any]) -> str:
    """The one sentence with which a change is refused."""
    with pytest.raises(CaseError) as caught:
        vary(case, changes)
    assert len(caught.value.faults) == 1, caught.value.faults
    sentence = str(caught.value.faults[0])
    assert_plain(sentence)
    return sentence


# --- options ----------------------------------------------------------------------------------------------------------
def test_a_case_without_options_is_its_own_option() -> None:
    alone = made(table("option", "baseline"))
    assert alone.options() == [("Sandbank cottage", "Invented home, machine and prices.", alone)]


def test_options_are_whole_cases_under_their_own_names(case: Case) -> None:
    names = [name for name, _, _ in case.options()]
    assert names == ["as it stands", "cooler curve", "the oil boiler", "panels and a battery"]
    for name, note, option in case.options():
        assert (option.name, option.note) == (name, note)
        assert option.baseline is None
        assert option.options() == [(name, note, option)]
        assert option.site is case.site, "what an option doesn't touch is the very same"
        assert option.tariff is case.tariff


def test_an_option_lays_its_tables_over_the_case_deeply(case: Case) -> None:
    _, cooler, boiler, panels = options_of(case)
    assert cooler.note == "two fan convectors"
    assert cooler.controls.design_flow_c == 42.0
    assert cooler.controls.setback_c == case.controls.setback_c
    assert boiler.heat_source == "boiler"
    assert boiler.heat_pump is None
    assert boiler.as_operated
    assert panels.battery is not None
    assert panels.battery.charge_efficiency == 0.95, "its missing keys come from the defaults"
    assert panels.solar is not None
    assert panels.solar.inverter_kw == 4.2


def test_giving_another_way_drops_the_first_one(case: Case) -> None:
    cooler = options_of(case)[1]
    assert (cooler.emitters.rated_kw, cooler.emitters.sized_for_flow_c) == (16.0, None)


OPTION_FAULTS = [
    ({"name": "x", "controls": {"design_flow_c": 70}}, 'case.toml, option "x": [controls] design_flow_c = 70 is '
     'above what '
     "the heat pump can give: [heat_pump] highest_flow_c = 62. Write design_flow_c = 62 or less, or state the "
     "highest_flow_c of a "
     "machine "
     "that goes higher."),
    ({"name": "x", "contrls": {"design_flow_c": 40}}, 'case.toml, option "x": [contrls] is not a table of a case. '
     'Perhaps '
     "[controls] is meant."),
    ({"controls": {"design_flow_c": 40}}, "case.toml, option no. 1: name is missing (what to call the option). Add a "
     "line "
     'such as: name = "as installed".'),
    ({"name": "x", "without": ["batery"]}, 'case.toml, option "x": without "batery" names no part that a home can do '
     'without. Perhaps "battery" is meant.'),
    ({"name": "x", "without": ["weather"]}, 'case.toml, option "x": without "weather" names no part that a home can do '
     'without. '
     f"Parts that can be dropped are: {', '.join(OPTIONAL)}."),
    ({"name": "x", "without": "battery"}, 'case.toml, option "x": without is not a list of names of tables. Write for '
     'example without = ["battery"].'),
    ({"name": "x", "without": ["heat_pump"]}, 'case.toml, option "x": heat_source = "heat_pump" needs a table '
     '[heat_pump], '
     "which is missing. Add [heat_pump], or choose another heat_source."),
    ({"name": "x", "baseline": "x"}, 'case.toml, option "x": baseline can\'t be changed by an option. Write it once, '
     'before '
     "all tables."),
    ({"name": 5}, "case.toml, option no. 1: name = 5 is not text (what to call the home). Write text in quotes, such "
     "as "
     'name = "Bungalow by the water".'),
    (5, "case.toml, option no. 1: is not a table. Write [[option]] and its keys beneath it."),
]  # fmt: skip


@pytest.mark.parametrize(("option", "sentence"), OPTION_FAULTS, ids=[str(option)[:40] for option, _ in OPTION_FAULTS])
def test_faults_of_an_option_name_it(option: Any, sentence: str) -> None:
    assert only(table("baseline", option=[option])) == sentence


def test_a_fault_of_the_case_is_not_told_again_for_every_option() -> None:
    assert len(sentences(with_path("hot_water.volume_l", 0.18))) == 1
    assert len(sentences(with_path("tariff", "nowhere.toml"))) == 1


def test_one_fault_for_one_slip_where_others_follow_it() -> None:
    for path, value in (
        ("comfort.periods", [{"from": "6:30", "to": "08:00", "c": 21.0}]),
        ("comfort.setback_c", 64),
        ("emitters.sized_for_flow_c", "50"),
        ("emitters", {"kind": "radiators"}),
        ("site.zone", "Europe/Dubln"),
        ("emitters.kind", "radiator"),
        ("fuel.kind", "coal"),
    ):
        only(with_path(path, value, table("option", "baseline", "controls")))
    only(table(home={"floor_area_m2": "big", "loss": {"w_per_k": 150.0}}))
    only(table(solar={"array": [{"kwp": True, "tilt_deg": 30, "azimuth_deg": 180}]}))


@pytest.mark.parametrize(
    ("names", "baseline", "sentence"),
    [
        (["a", "b", "a"], "a", 'case.toml: option "a" stands more than once. Give every option a name of its own.'),
        (["as now", "later"], "as nwo", 'case.toml: baseline = "as nwo" is not the name of an option. Perhaps "as '
         'now" is '
         "meant."),
        (["a", "b"], "zzz", 'case.toml: baseline = "zzz" is not the name of an option. The options of this case are: '
         '"a", "b".'),
        ([], "zzz", 'case.toml: baseline = "zzz" is not the name of an option. This case lists no [[option]]: take '
         'baseline '
         "out."),
    ],
)  # fmt: skip
def test_names_of_options(names: list[str], baseline: str, sentence: str) -> None:
    assert only(table(option=[{"name": name} for name in names], baseline=baseline)) == sentence


def test_options_that_are_no_list() -> None:
    sentence = only(table("baseline", option={"name": "x"}))
    assert sentence == ("case.toml: option is not a list of tables. Write [[option]] once for each alternative.")


# --- vary -------------------------------------------------------------------------------------------------------------
def test_vary_changes_one_number_and_leaves_the_rest_as_it_is(case: Case) -> None:
    varied = vary(case, {"controls.design_flow_c": 45})
    assert varied.controls.design_flow_c == 45.0
    assert case.controls.design_flow_c == 50.0
    for name in ("site", "weather", "home", "comfort", "emitters", "heat_pump", "hot_water", "household", "tariff"):
        assert getattr(varied, name) is getattr(case, name)
    assert varied != case
    assert varied.digest != case.digest
    assert vary(varied, {"controls.design_flow_c": 50.0}) == case


def test_vary_takes_elements_of_lists(case: Case) -> None:
    varied = vary(case, {"home.window.1.area_m2": 3, "heat_pump.point.3.cop": 2.8, "comfort.periods.0.c": 20})
    assert [window.area_m2 for window in varied.home.window] == [9.0, 3.0]
    assert varied.home.window[1].azimuth_deg == 350.0
    assert varied.heat_pump is not None
    assert varied.heat_pump.point is not None
    assert varied.heat_pump.point[3].cop == 2.8
    assert varied.comfort.periods[0].c == 20.0


def test_vary_takes_an_element_of_a_list_that_was_filled_in() -> None:
    plain = made(table("option", "baseline", "comfort", "controls"))
    varied = vary(plain, {"comfort.periods.0.c": 20.5})
    assert varied.comfort.periods[0].c == 20.5
    assert varied.comfort.periods[0].start == plain.comfort.periods[0].start
    assert varied.controls.periods == varied.comfort.periods, "set-points that nobody stated follow the needed warmth"


def test_vary_takes_whole_parts_models_and_numpy_numbers(case: Case) -> None:
    window = Window(area_m2=5.0, azimuth_deg=180.0, tilt_deg=90.0, transmittance=0.6, shading=0.7)
    varied = vary(
        case,
        {
            "home.window": [window],
            "hot_water.volume_l": np.float32(200),
            "uncertainty.lanes": np.int64(32),
            "battery": {"usable_kwh": 5.0, "charge_kw": 2.0, "discharge_kw": 2.0},
            "weather.mean_c": np.linspace(4, 15, 12),
        },
        name="with a battery",
    )
    assert varied.home.window == (window,)
    assert varied.hot_water.volume_l == 200.0
    assert varied.uncertainty.lanes == 32
    assert varied.battery is not None
    assert varied.name == "with a battery"
    assert varied.weather.mean_c is not None
    assert varied.weather.mean_c[11] == 15.0


def test_vary_drops_an_optional_part_and_a_key(case: Case) -> None:
    battery = vary(case, {"battery": {"usable_kwh": 5.0, "charge_kw": 2.0, "discharge_kw": 2.0, "reserve_share": 0.3}})
    assert vary(battery, {"battery": None}).battery is None
    without = vary(battery, {"battery.reserve_share": None})
    assert without.battery is not None
    assert without.battery.reserve_share == 0.1, "the default holds again"


def test_vary_takes_another_way_in_place_of_the_first(case: Case) -> None:
    varied = vary(case, {"home.loss.design_kw": 5.5, "home.loss.design_outdoor_c": -3, "home.loss.design_indoor_c": 21})
    assert varied.home.loss.w_per_k is None
    assert varied.home.loss.design_kw == 5.5


def test_vary_takes_tariffs_by_path_as_they_are_and_by_price(case: Case) -> None:
    dearer = vary(case, {"tariff.band.0.price_per_kwh": 0.2, "tariff.standing_per_day": 1.0})
    assert (dearer.tariff.band[0].price_per_kwh, dearer.tariff.standing_per_day) == (0.2, 1.0)
    assert dearer.tariff.band[1] == case.tariff.band[1]
    assert vary(dearer, {"tariff": "example_tariff.toml"}) == case
    assert vary(dearer, {"tariff": case.tariff}) == case
    assert isinstance(dearer.tariff, Tariff)
    assert vary(dearer, {"controls.design_flow_c": 45}).tariff == dearer.tariff


def test_vary_can_change_what_an_option_changes(case: Case) -> None:
    varied = vary(case, {"option.1.controls.design_flow_c": 40})
    assert options_of(varied)[1].controls.design_flow_c == 40.0
    assert options_of(varied)[1].emitters.rated_kw == 16.0


VARY_FAULTS = [
    ({"controls.desing_flow_c": 45}, "example.toml: [controls] desing_flow_c is not a key of this table. Perhaps "
     "design_flow_c is meant."),
    ({"controls.design_flow_c": 450}, "example.toml: [controls] design_flow_c = 450 is outside 25 to 90 °C (flow "
     "temperature on the design day). Write a value within these bounds, such as 45."),
    ({"controls.design_flow_c": 65}, "example.toml: [controls] design_flow_c = 65 is above what the heat pump can "
     "give: "
     "[heat_pump] highest_flow_c = 62. Write design_flow_c = 62 or less, or state the highest_flow_c of a machine "
     "that goes higher."),
    ({"home.window.2.area_m2": 4}, 'example.toml: home.window.2.area_m2 can\'t be set: "2" is no element of that list. '
     "Elements are counted from 0 to 1."),
    ({"home.window.first.area_m2": 4}, 'example.toml: home.window.first.area_m2 can\'t be set: "first" is no element '
     'of '
     "that list. Elements are counted from 0 to 1."),
    ({"weather.mean_c.0.x": 4}, "example.toml: weather.mean_c.0.x can't be set: that element is a value. Leave .x "
     "away."),
    ({"name.x": 4}, "example.toml: name.x can't be set: name is a value, with nothing beneath it. Set name itself."),
    ({"tariff.band.7.price_per_kwh": 4}, 'example.toml, tariff: band.7.price_per_kwh can\'t be set: "7" is no '
     'element of '
     "that list. Elements are counted from 0 to 1."),
    ({"tariff.band.0.price_per_kwh": -1.0}, "example.toml, tariff: band no. 1: price_per_kwh = -1 is outside 0 to "
     "100000 "
     "currency per kWh (price of a kilowatt-hour). Write a value within these bounds, such as 0.285."),
    ({"site.zone": None}, "example.toml: [site] zone is missing (IANA name of the time zone of the home's clocks). "
     "Add a "
     'line such as: zone = "Europe/Dublin".'),
    ({"battery.reserve_share": True, "battery.usable_kwh": 5.0, "battery.charge_kw": 2.0, "battery.discharge_kw": 2.0},
     "example.toml: [battery] reserve_share = true is a switch, and a number from 0 to 0.95 is wanted (share of the charge "
     "that is "
     "kept back). Write a number such as 0.1."),
]  # fmt: skip


@pytest.mark.parametrize(("changes", "sentence"), VARY_FAULTS, ids=[next(iter(changes)) for changes, _ in VARY_FAULTS])
def test_what_vary_refuses(case: Case, changes: dict[str, Any], sentence: str) -> None:
    assert refusal(case, changes) == sentence


def test_a_switch_for_a_number_is_refused_even_where_it_compares_equal(case: Case) -> None:
    whole = vary(case, {"heat_pump.efficiency_scale": 1.0})
    assert "efficiency_scale = true is a switch" in refusal(whole, {"heat_pump.efficiency_scale": True})


@settings(max_examples=40, deadline=None)
@given(flow=st.floats(30, 62), volume=st.floats(50, 500), loss=st.floats(50, 800))
def test_vary_is_the_case_made_anew(flow: float, volume: float, loss: float) -> None:
    case = read_case(EXAMPLE)
    changes = {"controls.design_flow_c": flow, "hot_water.volume_l": volume, "home.loss.w_per_k": loss}
    stated = table()
    for path, value in changes.items():
        with_path(path, value, stated)
    assert vary(case, changes) == case_from(stated, folder=HERE)
    assert hash(vary(case, changes)) == hash(case_from(stated, folder=HERE))


def test_vary_checks_only_what_changed(case: Case, monkeypatch: pytest.MonkeyPatch) -> None:
    from simkit.case import build as module

    seen: list[str] = []
    honest = module.checked

    def watching(section: Any, given_table: Any, place: str = "", **rest: Any) -> Any:
        seen.append(place)
        return honest(section, given_table, place, **rest)

    monkeypatch.setattr(module, "checked", watching)
    vary(case, {"controls.design_flow_c": 44})
    assert seen == ["", "controls"]
    begin = time.perf_counter()
    for number in range(20):
        vary(case, {"controls.design_flow_c": 40 + 0.1 * number})
    assert time.perf_counter() - begin < 20 * 0.1, "own: fifty times what it takes; the benchmark holds the promise"

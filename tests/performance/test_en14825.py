"""The reference season: identities with constant and linear COP, the account's sums, and what nature allows."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from references import Reference

from simkit.case.heating.heat_pump import HeatPump, Point
from simkit.errors import CaseError
from simkit.performance.en14825 import OffPower, energies, standard_season
from simkit.performance.en14825_climates import CLIMATES, OFF_HOURS, outlet_c

METHOD = "EN 14825; Regulation (EU) 811/2013 Annex VII"
SECOND_LAW = 0.4


def machine(
    kw: float = 8.0, *, minimum_share: float = 0.05, cycling_degradation: float = 1.0, standby_w: float = 0.0
) -> HeatPump:
    """A machine of constant second-law efficiency and capacity: its COP is 0.4 of Carnot everywhere."""
    points = tuple(
        Point(source_c=s, flow_c=f, capacity_kw=kw, cop=SECOND_LAW * (f + 273.15) / (f - s))
        for s in (-15.0, 7.0)
        for f in (35.0, 55.0)
    )
    return HeatPump(
        name="made for a test", point=points, points_hold=("defrost", "fan"), source="air", minimum_share=minimum_share,
        highest_flow_c=60.0, lowest_outdoor_c=-30.0, cycling_degradation=cycling_degradation, standby_w=standby_w, pump_w=0.0,
        backup_kw=0.0, backup_below_c=0.0, efficiency_scale=0.5, efficiency_boundary="h4", minimum_run_min=0.0,
        glycol_share=0.0,
    )  # fmt: skip


@pytest.mark.parametrize(
    ("climate", "load_hours", "hours"), [("average", 2066, 4910), ("colder", 2465, 6446), ("warmer", 1336, 3590)]
)
def test_a_cop_linear_in_temperature_in_closed_form(climate: str, load_hours: int, hours: int) -> None:
    """Let COP = k·pl, linear in T as pl = (T − 16)/(Td − 16) is. The electricity of a bin is h·P·pl/(k·pl) = h·P/k, so
    that it is the same for every hour, and SCOP = Σ h·P·pl / (Σ h·P/k) = k × full-load hours ÷ bin hours.
    """
    season, k = CLIMATES[climate], 9.0
    pl = season.part_load(season.outdoor_c)
    found = energies(season.hours, 5.0 * pl, np.full(len(pl), 20.0), k * pl)
    reference = Reference(
        k * load_hours / hours, f"printed hours of {METHOD}", k * 0.5 / hours, "full-load hours are printed whole"
    )
    reference.check(found["heat_kwh"].sum() / found["machine_kwh"].sum())


def test_the_season_of_a_machine_of_constant_second_law_efficiency() -> None:
    """Without cycling, back-up and off-modes the season is Σ h·pl ÷ Σ h·pl/(0.4·Carnot).

    Below 28 K, the lift of its point A7/W35, COP is that at 28 K times the mean rise of Staffell 2012 and Ruhnau 2019,
    and below 15 K it rises no further.
    """
    found = standard_season(machine(kw=30.0, minimum_share=0.05), "average", application_c=55, design_kw=8.0)
    season = CLIMATES["average"]
    t, pl = season.outdoor_c, season.part_load(season.outdoor_c)
    w = outlet_c("average", 55, t)
    lift = np.clip(w - t, 15.0, None)
    low = np.minimum(lift, 28.0)
    staffell, ruhnau = (a + b * low + c * low**2 for a, b, c in ((6.81, -0.121, 0.00063), (6.08, -0.0941, 0.000464)))
    rise = 0.5 * (staffell / (6.81 - 0.121 * 28 + 0.00063 * 28**2) + ruhnau / (6.08 - 0.0941 * 28 + 0.000464 * 28**2))
    assert 0.05 < (season.hours * pl)[lift < 28.0].sum() / (season.hours * pl).sum() < 0.6
    hot = np.maximum(np.maximum(w, t + 15.0), np.minimum(t + 28.0, 35.0))  # no cooler than the coolest point
    carnot = (hot + 273.15) / np.maximum(lift, 28.0) * rise
    want = (season.hours * pl).sum() / (season.hours * pl / (SECOND_LAW * carnot)).sum()
    # the smallest bins lie under the least output of 5 % of 30 kW; without cycling_degradation they cost nothing more
    Reference(want, f"own arithmetic on {METHOD}", 1e-9, "same formula, other code").check(found.scop)
    assert found.scop == pytest.approx(found.scop_on)
    assert found.scop == pytest.approx(found.scop_net)


def test_bivalent_point_back_up_and_operation_limit() -> None:
    # capacity 8 kW everywhere: with the load P·pl the two meet at pl = 8/P; for P = 10, T = 16 − 0.8·26 = −4.8 °C
    found = standard_season(machine(8.0), "average", design_kw=10.0)
    assert found.bivalent_c == pytest.approx(-4.8, abs=0.011)
    row = found.account.loc["bin -10 °C"]
    assert row["backup_kwh"] == pytest.approx(2.0)  # one hour at 10 kW, of which the machine makes 8
    by_itself = standard_season(machine(8.0), "average")
    assert by_itself.bivalent_c == pytest.approx(-7.0, abs=0.011)
    assert by_itself.design_kw == pytest.approx(8.0 * 26.0 / 23.0)
    stops = machine(8.0).model_copy(update={"lowest_outdoor_c": -5.0})
    cold = standard_season(stops, "average", design_kw=8.0).account.loc["bin -7 °C"]
    assert cold["backup_kwh"] == pytest.approx(cold["heat_kwh"])
    assert any("stops at −5 °C" in note for note in standard_season(stops, "average", design_kw=8.0).notes)


def test_cycling_follows_the_part_load_formula() -> None:
    """COPbin = COPd·CR/(Cd·CR + 1 − Cd), CR the load over the least output (EN 14825, water-based units)."""
    found = standard_season(machine(8.0, minimum_share=0.5, cycling_degradation=0.9), "average", design_kw=8.0).account
    row = found.loc["bin 7 °C"]
    ratio = 9.0 / 26.0 / 0.5  # load over half the capacity
    want = row["running_cop"] * ratio / (0.9 * ratio + 0.1)
    Reference(float(want), "own: the formula above", 1e-9, "same formula").check(row["cop"])
    assert found.loc["bin -7 °C", "cycling_factor"] == pytest.approx(1.0)


def test_the_columns_add_up_and_off_modes_cost() -> None:
    found = standard_season(machine(8.0, standby_w=10.0), "average", off=OffPower(crankcase_w=30.0))
    off = OFF_HOURS["average"]
    want = (off[0] * 10 + off[1] * 10 + off[2] * 30 + off[3] * 10) / 1000.0
    assert found.account["off_kwh"].sum() == pytest.approx(want)
    account = found.account
    parts = account[["machine_kwh", "backup_kwh", "off_kwh"]].to_numpy().sum()
    assert account["electricity_kwh"].sum() == pytest.approx(parts)
    assert found.scop == pytest.approx(account["heat_kwh"].sum() / parts)
    assert found.scop < found.scop_on < found.scop_net
    assert account["heat_kwh"].sum() == pytest.approx(found.design_kw * 2066.0, rel=3e-4)


def test_the_result_says_what_is_only_remembered() -> None:
    assert any("only 52 °C at −7 °C is corroborated" in n for n in standard_season(machine(), "average").notes)
    low = standard_season(machine(), "average", application_c=35).notes
    assert "The outlet temperatures of this season are from memory of EN 14825." in low
    small = standard_season(machine(2.0), "average", design_kw=10.0)
    assert any("too small for this load" in note for note in small.notes)
    assert repr(standard_season(machine(), "warmer")).startswith("SCOP ")


def test_a_bivalent_point_without_load_is_refused() -> None:
    with pytest.raises(CaseError, match=r"bivalent_c = 20 leaves no load or no capacity there .* below 16 °C"):
        standard_season(machine(), "average", bivalent_c=20.0)


@settings(max_examples=40, deadline=None)
@given(st.floats(2.0, 20.0), st.sampled_from(sorted(CLIMATES)), st.sampled_from([35, 55]))
def test_no_bin_passes_carnot_and_low_temperature_is_never_worse(kw: float, climate: str, application: int) -> None:
    cycling = machine(kw, minimum_share=0.3, cycling_degradation=0.9)
    bins = standard_season(cycling, climate, application_c=application, design_kw=8.0).account.query("hours > 0")  # type: ignore[arg-type]
    assert (bins["cop"] <= bins["carnot_cop"]).all()
    low, medium = (standard_season(machine(kw), climate, application_c=a, design_kw=8.0) for a in (35, 55))  # type: ignore[arg-type]
    assert low.scop >= medium.scop


def test_a_season_of_hardly_any_load_takes_what_a_machine_at_rest_takes() -> None:
    """EN 14825, formula from memory: L/(COP·f) = (Cd·L + (1 − Cd)·Lmin)/COP in every bin, so that a COP under 1 in the
    mildest of them is not electricity without end.
    """
    found = standard_season(machine(8.0, minimum_share=0.5, cycling_degradation=0.9), "average", design_kw=0.2).account
    bins = found[found["load_kw"] > 0]
    by_hand = bins["hours"] * (0.9 * bins["load_kw"] + 0.1 * 0.5 * bins["capacity_kw"]) / bins["running_cop"]
    np.testing.assert_allclose(bins["machine_kwh"].astype(float), by_hand.astype(float), rtol=1e-9)
    assert (bins["cop"] < 1.0).any()


def test_a_machine_that_the_cold_stops_has_its_bivalent_point_where_it_stops() -> None:
    stopped = machine(8.0).model_copy(update={"lowest_outdoor_c": -10.0})
    found = standard_season(stopped, "colder")
    assert found.bivalent_c == pytest.approx(-10.0, abs=0.02)
    assert standard_season(stopped, "average").bivalent_c == pytest.approx(-7.0, abs=0.02)
    assert found.design_kw == standard_season(stopped, "colder", bivalent_c=-10.0).design_kw

"""Ranges: the same samples for every option and every time, what is known stays known, differences narrower than sums."""

from __future__ import annotations

import numpy as np
import pytest
from homes import SAMPLES, changed, setting
from references import Reference

import simkit.uncertainty.sampling as sampling
from simkit.assemble.heat_loss import burnt_home, fuel_burnt, loss_w_per_k, stated_fuel_kwh
from simkit.assemble.setting import setting_for
from simkit.case.build import Case, vary
from simkit.case.load import read_case
from simkit.uncertainty.ranges import Range
from simkit.uncertainty.sampling import DIMENSIONS, WEATHER_YEARS, draw_samples, sampled_years
from simkit.year.simulate import simulate


def fuelled() -> Case:
    return vary(read_case(SAMPLES / "estuary_bungalow" / "case.toml"), {"uncertainty.lanes": 32})


def test_samples_are_those_of_their_number() -> None:
    spread = changed("canal_terrace").uncertainty
    first = draw_samples(spread)
    draw_samples.cache_clear()
    again, other = draw_samples(spread), draw_samples(spread.model_copy(update={"seed": 2}))
    np.testing.assert_array_equal(first.price, again.price)
    assert first.adjustments == again.adjustments
    assert not np.array_equal(first.price, other.price)
    assert first.adjustments != other.adjustments


def test_samples_cover_the_stated_spreads() -> None:
    """A scrambled Sobol sequence: means and spreads come back far closer than chance would have them."""
    spread = changed("canal_terrace", {"uncertainty.lanes": 256}).uncertainty
    drawn = draw_samples(spread)
    logs = {
        "installation_sd": np.log([a.efficiency for a in drawn.adjustments]),
        "boiler_efficiency_sd": np.log([a.boiler for a in drawn.adjustments]),
        "heat_loss_sd": np.log([a.loss for a in drawn.adjustments]),
        "draws_sd": np.log([a.draws for a in drawn.adjustments]),
        "price_sd": np.log(drawn.price),
        "set_point_sd_k": np.array([a.set_point_k for a in drawn.adjustments]),
    }
    for name, values in logs.items():
        sd = getattr(spread, name)
        Reference(sd, f"own: [uncertainty] {name}", 0.06 * sd, "held within 2.5 standard deviations").check(
            values.std()
        )
        assert abs(values.mean()) < 0.03 * sd
        assert np.abs(values).max() <= 2.5 * sd + 1e-12
    assert np.bincount(drawn.weather, minlength=WEATHER_YEARS).tolist() == [256 // WEATHER_YEARS] * WEATHER_YEARS
    together = np.corrcoef(np.log(drawn.price), np.log(drawn.fuel_price))[0, 1]
    Reference(np.sqrt(0.5), "own: fuel and electricity share half their variance", 0.05, "a sample").check(together)
    assert len(DIMENSIONS) == 8


def test_a_range_is_the_same_every_time_and_holds_the_year() -> None:
    case = changed("canal_terrace")
    one, two = sampled_years(case, 60), sampled_years(case, 60)
    np.testing.assert_array_equal(one.total, two.total)
    found, year = Range.of(one.total), simulate(case, step_minutes=60)
    assert found.low < year.bill.total < found.high
    assert found.middle == pytest.approx(year.bill.total, rel=0.06)
    assert 0.05 < (found.high - found.low) / found.middle < 0.8
    assert year.range() == found


def test_without_spread_every_sample_is_the_year() -> None:
    """Only the order of adding up may differ, and that bills of samples are not rounded."""
    names = (
        "installation_sd",
        "price_sd",
        "set_point_sd_k",
        "boiler_efficiency_sd",
        "heat_loss_sd",
        "weather_sd_k",
        "draws_sd",
    )
    case = changed("harbour_flat", {f"uncertainty.{name}": 0.0 for name in names})
    made, year = sampled_years(case, 60), simulate(case, step_minutes=60)
    spread = np.ptp(made.electricity_kwh) / made.electricity_kwh.mean()
    assert spread < 0.02  # the order of days still differs from one made-up year to the next
    assert made.electricity_kwh.mean() == pytest.approx(year.totals["import"], rel=0.01)
    assert made.spf_h4.mean() == pytest.approx(year.spf.h4, rel=0.01)


def test_differences_of_options_are_narrower_than_of_strangers() -> None:
    """Both options meet the same samples; shuffled against each other, the range of the saving is several times wider."""
    hot = changed("estuary_bungalow", {"controls.design_flow_c": 55.0, "emitters.sized_for_flow_c": 55.0})
    cool = changed("estuary_bungalow", {"controls.design_flow_c": 47.0, "emitters.sized_for_flow_c": 47.0})
    a, b = sampled_years(hot, 60).total, sampled_years(cool, 60).total
    paired = Range.of(a - b)
    shuffled = Range.of(a - np.random.default_rng(3).permutation(b))
    assert paired.low > 0.0, "every sample saves"
    assert (shuffled.high - shuffled.low) > 4.0 * (paired.high - paired.low)


def test_what_was_burnt_stays_burnt_in_every_sample() -> None:
    """Where the loss came from fuel, each sampled home with its own loss burns that fuel, to the kWh."""
    case = fuelled()
    losses, adjustments = sampling._sampled_losses(case, 60)
    burnt_by = burnt_home(case).case
    burnt = fuel_burnt(burnt_by, setting_for(burnt_by, 60), losses, list(adjustments))
    wanted = stated_fuel_kwh(case)
    for found in burnt:
        Reference(wanted, "own: the fuel that was stated", 1e-6 * wanted, "fuel is inverse to efficiency").check(
            float(found)
        )
    assert all(a.loss == 1.0 for a in adjustments)
    assert np.ptp(losses) > 0.1 * loss_w_per_k(case, 60)  # a better boiler means a leakier home
    efficiency = np.array([a.boiler for a in adjustments])
    assert np.corrcoef(efficiency, losses)[0, 1] > 0.3  # what was held at home decides as much


def test_knowing_the_fuel_narrows_the_range() -> None:
    known = fuelled()
    unknown = vary(known, {"home.loss.w_per_k": loss_w_per_k(known, 60)})
    widths = []
    for case in (known, unknown):
        option = next(found for name, _, found in case.options() if name == "Heat pump, as installed")
        made = Range.of(sampled_years(option, 60).total)
        widths.append(made.high - made.low)
    assert widths[0] < 0.95 * widths[1]


def test_samples_of_a_boiler_have_no_performance() -> None:
    made = sampled_years(changed("canal_terrace", {"heat_source": "boiler", "uncertainty.lanes": 20}), 60)
    assert np.isnan(made.spf_h4).all()
    assert made.fuel_kwh.min() > 1000.0
    assert np.isnan(Range.of(made.spf_h4).middle)
    assert len(made.total) == 20
    assert setting(changed("canal_terrace")).axis.steps == 8760

"""Distributions in; the one sequence of samples that everything draws from out."""

from __future__ import annotations

import numpy as np
import pytest
from case.stated import made, table
from homes import changed
from invented_money import MONEY
from references import Reference

from simkit.errors import CaseError
from simkit.uncertainty.distributions import usual_distributions
from simkit.uncertainty.draws import centred, drawn, draws_of, fixed
from simkit.uncertainty.sampled_years import WEATHER_YEARS


def test_correlated_pairs_and_no_others() -> None:
    inputs = usual_distributions(made(table(money=MONEY)))
    frame = drawn(inputs, 4096)
    found = np.log(frame[["electricity_price", "fuel_price", "efficiency"]]).corr().to_numpy()
    assert found[0, 1] == pytest.approx(0.5, abs=0.02)
    assert abs(found[0, 2]) < 0.02
    assert frame[["electricity_rise", "fuel_rise"]].corr().to_numpy()[0, 1] == pytest.approx(0.5, abs=0.02)
    assert drawn(inputs, 256, correlations={})["weather"].mean() == pytest.approx(0.5, abs=0.01)


def test_the_first_samples_of_a_larger_draw_are_the_same() -> None:
    inputs = usual_distributions(made(table()))
    assert drawn(inputs, 1000).head(100).equals(drawn(inputs, 100))
    assert not drawn(inputs, 100, seed=2).equals(drawn(inputs, 100))


def test_fixed_and_centred() -> None:
    inputs = usual_distributions(made(table(money=MONEY)))
    held = drawn(fixed(inputs, "weather", "efficiency"), 64)
    assert held["weather"].isna().all()
    assert (held["efficiency"] == 1.0).all()
    assert held["draws"].std() > 0
    middle = centred(inputs).iloc[0]
    assert middle["set_point_k"] == pytest.approx(0.0, abs=1e-12)
    assert np.isnan(middle["weather"])


def test_a_range_and_a_worth_draw_from_one_sequence() -> None:
    case = made(table(money=MONEY))
    assert draws_of(case).equals(draws_of(case, 4096).head(case.uncertainty.lanes))


def test_samples_are_those_of_their_number() -> None:
    case = changed("canal_terrace")
    assert draws_of(case).equals(draws_of(case))
    other = draws_of(changed("canal_terrace", {"uncertainty.seed": 2}))
    still = ["electricity_rise", "fuel_rise", "fuel_amount", "fuel_winter"]  # nothing to know of them in this home
    assert (draws_of(case) != other).any().drop(still).all()


def test_less_than_one_sample_is_refused() -> None:
    with pytest.raises(CaseError) as caught:
        drawn(usual_distributions(made(table())), 0)
    assert str(caught.value) == "samples: count = 0 is less than one. Ask for 1024, for example."


def test_samples_cover_the_stated_spreads() -> None:
    """A scrambled Sobol sequence: means and spreads come back far closer than chance would have them."""
    case = changed("canal_terrace", {"uncertainty.lanes": 256})
    found = draws_of(case)
    of = {"installation_sd": "efficiency", "boiler_efficiency_sd": "boiler", "heat_loss_sd": "loss",
          "draws_sd": "draws", "price_sd": "electricity_price", "set_point_sd_k": "set_point_k"}  # fmt: skip
    for name, column in of.items():
        values = found[column].to_numpy()
        values = values if name == "set_point_sd_k" else np.log(values)
        sd = getattr(case.uncertainty, name)
        Reference(sd, f"own: [uncertainty] {name}", 0.06 * sd, "held within 2.5 standard deviations").check(
            values.std()
        )
        assert abs(values.mean()) < 0.03 * sd
        assert np.abs(values).max() <= 2.5 * sd + 1e-12
    ranks = (found["weather"].to_numpy() * WEATHER_YEARS).astype(int)
    assert np.bincount(ranks, minlength=WEATHER_YEARS).tolist() == [256 // WEATHER_YEARS] * WEATHER_YEARS

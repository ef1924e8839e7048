"""Functions with known sensitivities in; tornado and Sobol indices out."""

from __future__ import annotations

import sys
from functools import lru_cache

import numpy as np
import pandas as pd
import pytest
from invented_money import DEAR, compared, home
from references import Reference

from simkit.errors import CaseError
from simkit.finance.sensitivity import gain_of, global_shares, swings, tornado
from simkit.finance.worth import Worth, worth
from simkit.uncertainty.distributions import Distribution

# Ishigami and Homma 1990; indices in closed form for a = 7, b = 0.1 (Saltelli et al. 2008, Global Sensitivity Analysis).
A, B = 7.0, 0.1
ISHIGAMI = [Distribution(name, "uniform", 0.0, np.pi, "", "own", "its domain") for name in ("x1", "x2", "x3")]
VARIANCE = A**2 / 8 + B * np.pi**4 / 5 + B**2 * np.pi**8 / 18 + 0.5


@lru_cache(maxsize=1)
def weighed() -> Worth:
    return worth(home(), comparison=compared())


def ishigami(rows: pd.DataFrame) -> np.ndarray:
    x1, x2, x3 = (rows[name].to_numpy() for name in ("x1", "x2", "x3"))
    return np.asarray(np.sin(x1) + A * np.sin(x2) ** 2 + B * x3**4 * np.sin(x1))


def test_the_indices_of_ishigami() -> None:
    found = global_shares(ishigami, ISHIGAMI, base=2048)
    first = {"x1": 0.5 * (1 + B * np.pi**4 / 5) ** 2 / VARIANCE, "x2": A**2 / 8 / VARIANCE, "x3": 0.0}
    all_ = {
        "x1": first["x1"] + 8 * B**2 * np.pi**8 / 225 / VARIANCE,
        "x2": first["x2"],
        "x3": 8 * B**2 * np.pi**8 / 225 / VARIANCE,
    }
    for name in ("x1", "x2", "x3"):
        source = f"Ishigami and Homma 1990, closed form, {name}"
        Reference(first[name], source, 0.02, "2048 base samples").check(found.loc[name, "alone"])
        Reference(all_[name], source, 0.02, "2048 base samples").check(found.loc[name, "in_all"])
    Reference(0.3139, "Saltelli et al. 2008, printed S1 of x1", 0.02, "2048 base samples").check(
        found.loc["x1", "alone"]
    )
    assert (found["alone_sure_within"] < 0.1).all()


def test_the_tornado_of_a_sum() -> None:
    inputs = [Distribution("a", "uniform", 1.0, 1.0, "", "own", ""), Distribution("b", "uniform", 5.0, 3.0, "", "own", ""),
              Distribution("c", "uniform", 5.0, 0.0, "", "own", "")]  # fmt: skip
    found = swings(lambda rows: rows["a"].to_numpy() - 2 * rows["b"].to_numpy(), inputs)
    assert list(found.index) == ["b", "a"]
    assert found["swing"].tolist() == pytest.approx([2 * 3 * 1.6, 1.6])
    assert (found["middle"] == 1 - 10).all()
    assert found.loc["a", "at_low"] == pytest.approx(0.2 - 10)


def test_what_decides_a_home() -> None:
    found = tornado(weighed(), DEAR)
    assert found["middle"].iloc[0] == pytest.approx(weighed().measures(DEAR).gain_today, abs=5)
    assert found.loc["electricity_price", "at_low"] > found.loc["electricity_price", "at_high"]
    assert found.loc["fuel_price", "at_low"] < found.loc["fuel_price", "at_high"]
    assert found["swing"].is_monotonic_decreasing


def test_global_shares_of_a_home_sum_to_about_one() -> None:
    names = ("electricity_price", "fuel_price", "efficiency")
    from simkit.uncertainty.distributions import usual_distributions
    from simkit.uncertainty.draws import fixed

    usual = usual_distributions(weighed().base.case)
    inputs = fixed(usual, *[one.name for one in usual if one.name not in names])
    found = global_shares(gain_of(weighed(), DEAR), inputs, base=32)
    assert set(found.index) == set(names)
    assert 0.7 < found["in_all"].sum() < 1.4


def test_nothing_moves_nothing() -> None:
    found = global_shares(lambda rows: np.zeros(len(rows)), ISHIGAMI, base=8)
    assert found.isna().all().all()


def test_faults(monkeypatch: pytest.MonkeyPatch) -> None:
    with pytest.raises(CaseError) as caught:
        global_shares(ishigami, ISHIGAMI, base=100)
    assert str(caught.value) == "global sensitivities: base = 100 is no power of 2. Ask for 128, for example."
    monkeypatch.setitem(sys.modules, "SALib.analyze", None)
    with pytest.raises(CaseError) as caught:
        global_shares(ishigami, ISHIGAMI)
    assert str(caught.value) == (
        "global sensitivities: SALib is needed and isn't installed. Install it with: pip install "
        "'home-heat-simkit[sensitivity]'."
    )

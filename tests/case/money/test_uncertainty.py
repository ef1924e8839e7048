"""Ranges of the user's own in; one sentence for each fault, and the range as it is sampled, out."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from case.stated import made, only, table
from simkit.case.load import read_case, write_case
from simkit.uncertainty.distributions import SAID, distributions_of, input_lines, usual_distributions
from simkit.uncertainty.draws import draws_of

FUEL = {"of": "fuel_price", "shape": "uniform", "low": 0.9, "high": 1.3, "reason": "the contract ends in March"}


def stated(*ranges: dict[str, Any]) -> dict[str, Any]:
    return table(uncertainty={"input": [*ranges]})


FAULTS = [
    ({"low": 1.3, "high": 0.9}, "low = 1.3 is not below high = 0.9. Write the lower end first, and leave the table out "
     "for a value that is known."),
    ({"low": 0.05}, "low = 0.05 is outside 0.1 to 10: fuel_price is a factor on what the case states. Write 1.1 for a "
     "tenth more."),
    ({"of": "fuel_rise", "low": 0.0, "high": 5.0}, "high = 5 is outside -0.2 to 0.25: fuel_rise is a share a year. "
     "Write 0.02 for two per cent."),
    ({"of": "set_point_k", "low": -1.0, "high": 9.0}, "high = 9 is outside -5 to 5: set_point_k is a shift in kelvin. "
     "Write 0.5 for half a kelvin."),
    ({"of": "set_point_k", "shape": "lognormal", "low": -1.0, "high": 1.0}, 'shape = "lognormal" can\'t have low = -1: it '
     'lies above zero only. Write "normal", or a low above zero.'),
    ({"of": "weather"}, 'of = "weather" is none of'),
    ({"shape": "bell"}, 'shape = "bell" is none of'),
    ({"high": 130.0}, "high = 130"),
    ({"reason": ""}, "reason"),
]  # fmt: skip


@pytest.mark.parametrize(("changes", "sentence"), FAULTS)
def test_every_slip_has_its_sentence(changes: dict[str, Any], sentence: str) -> None:
    assert sentence in only(stated(FUEL | changes))


def test_two_ranges_of_one_input_and_one_of_a_known_loss() -> None:
    assert 'input "fuel_price" has more than one range. Keep one of them.' in only(stated(FUEL, FUEL))
    loss = {"of": "loss", "shape": "normal", "low": 0.9, "high": 1.1, "reason": "a survey"}
    from_fuel = stated(loss)
    from_fuel["home"] = {**from_fuel["home"], "loss": {"fuel_amount": 17000.0, "fuel_unit": "kWh"}}
    assert (
        'input of "loss" contradicts fuel_amount in [home.loss]: the loss is found anew in each sample, so that what was '
        "burnt stays known."
    ) in only(from_fuel)
    assert {one.name: one for one in distributions_of(made(stated(loss)))}["loss"].source == SAID


@pytest.mark.parametrize("shape", ["uniform", "triangular", "normal", "lognormal"])
def test_the_ends_are_what_the_shape_says(shape: str) -> None:
    case = made(stated(FUEL | {"shape": shape}))
    one = {one.name: one for one in distributions_of(case)}["fuel_price"]
    ends = (0.1, 0.9) if shape in ("normal", "lognormal") else (1e-9, 1 - 1e-9)
    assert one.at(np.array(ends)) == pytest.approx([0.9, 1.3], abs=1e-4)
    assert one.at(np.array([0.5]))[0] == pytest.approx(np.sqrt(0.9 * 1.3) if shape == "lognormal" else 1.1)
    others = [one for one in usual_distributions(case) if one.name != "fuel_price"]
    assert [one for one in distributions_of(case) if one.name != "fuel_price"] == others


def test_the_range_of_a_year_takes_it_too() -> None:
    own, usual = draws_of(made(stated(FUEL))), draws_of(made(table()))
    assert 0.9 <= own["fuel_price"].min() < 0.93
    assert 1.27 < own["fuel_price"].max() <= 1.3
    assert own["electricity_price"].equals(usual["electricity_price"])
    together = np.corrcoef(np.log(own["electricity_price"]), own["fuel_price"])[0, 1]
    assert together > 0.4, "fuel and electricity still move together"


def test_it_is_listed_as_said_by_you(tmp_path: Any) -> None:
    case = made(stated(FUEL))
    (line,) = [line for line in input_lines(case) if line.startswith("price of fuel")]
    assert line == (
        "price of fuel, in eight of ten simulated futures 6\u00a0% lower to 26\u00a0% higher (said by you: the contract ends in "
        "March)."
    )
    write_case(case, tmp_path / "case.toml")
    assert read_case(tmp_path / "case.toml").uncertainty == case.uncertainty

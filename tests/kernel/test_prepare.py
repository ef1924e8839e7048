"""Series that depend on the weather alone, worked out in one pass, against the laws called one by one."""

from __future__ import annotations

import numpy as np
import pytest
from homes import changed, inputs, setting

from simkit.kernel.prepare import cheaper_by_boiler, curve, defrost
from simkit.physics.emitters import curve_shape, curve_share
from simkit.physics.heat_pump import defrost_factor

pytestmark = pytest.mark.short

OUTDOOR = np.linspace(-15.0, 25.0, 81)


def test_passes_are_the_laws() -> None:
    share, shape = curve(OUTDOOR, 16.0, -4.0, 1.3)
    humidity = np.linspace(0.4, 1.0, 81)
    frosted = defrost(OUTDOOR, humidity, 0.12)
    for k, outdoor in enumerate(OUTDOOR.tolist()):
        assert share[k] == pytest.approx(curve_share(outdoor, 16.0, -4.0), abs=1e-14)
        assert shape[k] == pytest.approx(curve_shape(share[k], 1.3), abs=1e-13)
        assert frosted[k] == pytest.approx(defrost_factor(outdoor, humidity[k], 0.12), abs=1e-14)


def test_a_boiler_is_cheaper_where_its_heat_costs_less_than_electricity_over_cop() -> None:
    """By hand: COP on the curve at full load is electricity price over heat price at the point of change."""
    case = changed("canal_terrace", {"heat_source": "hybrid", "hybrid.by_price": True, "hybrid.boiler_below_c": -30.0})
    home = inputs(case)
    price = setting(case).signal.import_per_kwh
    chosen = home.series["by_boiler"]
    assert 0.05 < chosen.mean() < 0.95
    never = cheaper_by_boiler(home.home, home.series, price, 10.0)
    always = cheaper_by_boiler(home.home, home.series, price, 0.0)
    assert (never.sum(), always.sum()) == (0.0, len(price))
    # with the electricity price at k times the heat price, the boiler is chosen where COP < k: bracket one step's COP
    k = int(np.argmin(home.series["outdoor_c"]))
    step = {name: values[k : k + 1] for name, values in home.series.items()}
    at = [cheaper_by_boiler(home.home, step, np.array([ratio]), 1.0)[0] for ratio in np.arange(1.0, 6.0, 0.01)]
    cop = 1.0 + 0.01 * at.index(1.0)
    flow = home.series["set_point_c"][k] + home.home.design_excess_k * home.series["curve_shape"][k]
    flow += 0.5 * home.home.water_difference_k * home.series["curve_share"][k]
    efficiency = np.interp(flow, [35.0, 55.0], [home.series["efficiency_0"][k], home.series["efficiency_1"][k]])
    by_hand = efficiency * home.home.efficiency_scale * (flow + 273.15) / (flow - home.series["source_c"][k])
    assert cop == pytest.approx(by_hand, abs=0.011)

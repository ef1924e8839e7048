"""Heat loss in every way it can be stated, and the constants of the house."""

from __future__ import annotations

import numpy as np
import pytest
from homes import changed, sample
from references import Reference

from simkit.assemble.building import air_side_share, shell, stated_loss_w_per_k
from simkit.physics.building import AIR_AND_FURNISHINGS_J_PER_M2K, THERMAL_MASS
from simkit.validation.published import published


def stated(**loss: object) -> tuple[float | None, str]:
    return stated_loss_w_per_k(changed("harbour_flat", {"home.loss": loss}).home)


def test_loss_by_each_way_of_stating_it() -> None:
    assert stated(w_per_k=180.0) == (180.0, "stated")
    found, how = stated(design_kw=5.2, design_outdoor_c=-5.0, design_indoor_c=21.0)
    Reference(200.0, "own: 5.2 kW over 26 K", 1e-9, "by hand").check(float(found or 0.0))
    assert how == "from the design loss"
    assert stated(certificate_kwh_m2=100.0, certificate_kind="space heat demand") == (None, "from a certificate")
    assert stated(fuel_amount=500.0, fuel_unit="kWh") == (None, "found from fuel")


def test_elements_bridges_and_air_by_hand() -> None:
    """The canal home: walls 46.5, roof 18.56, floor 27, windows 35.7, bridges 12, air 0.55 · 262.5 / 3."""
    home = sample("canal_terrace").home
    by_hand = 62 * 0.75 + 58 * 0.32 + 54 * 0.5 + 21 * 1.7 + 12.0 + 0.55 * 262.5 / 3.0
    found, how = stated_loss_w_per_k(home)
    Reference(by_hand, "own: by hand; 1/3·n·V is common practice", 1e-9, "a sum").check(float(found or 0.0))
    assert how == "from the elements"
    assert air_side_share(home) == pytest.approx((35.7 + 0.55 * 262.5 / 3.0) / by_hand)


@pytest.mark.parametrize("name", THERMAL_MASS)
def test_capacity_is_that_of_the_class_with_air_and_furnishings(name: str) -> None:
    """Wherever the line between the two nodes is drawn: 100 m², 200 W/K, τ as published plus what the air holds."""
    source, rows = published("iso13790_thermal_capacity")
    home = changed("canal_terrace", {"home.thermal_mass": name, "home.floor_area_m2": 100.0}).home
    made = shell(home, 200.0, 0.3, 1.0)
    tau = next(float(row["tau_h_at_2W_per_K_m2"]) for row in rows if row["class"] == name)
    of_air = AIR_AND_FURNISHINGS_J_PER_M2K * 100.0 / 3.6e6
    found = (made.air_kwh_per_k + made.fabric_kwh_per_k - of_air) / 0.2
    Reference(tau, source, 5e-4, "three decimals").check(found)


@pytest.mark.parametrize("mass_share", [0.05, 0.3, 0.6])
def test_shell_loses_what_is_stated(mass_share: float) -> None:
    made = shell(sample("canal_terrace").home, 188.0, mass_share, 0.5)
    nodes = np.array(
        [
            [made.air_side_kw_per_k + made.coupling_kw_per_k, -made.coupling_kw_per_k],
            [-made.coupling_kw_per_k, made.coupling_kw_per_k + made.fabric_side_kw_per_k],
        ]
    )
    air, _ = np.linalg.solve(nodes, [1.0 - mass_share, mass_share])
    assert 1.0 / air == pytest.approx(0.188, rel=1e-12, abs=0.0)

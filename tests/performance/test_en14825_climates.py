"""Reference climates against the printed tables of Regulation (EU) 811/2013."""

from __future__ import annotations

import numpy as np
import pytest
from references import Reference, published

from simkit.performance.en14825_climates import CLIMATES, FOUND, OFF_HOURS, OUTLETS, outlet_c

SOURCE, BINS = published("en14825_bin_hours")
_, DESIGN = published("en14825_design_conditions")
_, RATIOS = published("en14825_part_load_ratio")
REMEMBERED, OUTLET_ROWS = published("en14825_outlet_temperatures_FROM_MEMORY")
_, OFF_ROWS = published("en14825_offmode_hours_FROM_MEMORY")


@pytest.mark.parametrize("climate", CLIMATES)
def test_bin_hours_are_the_printed_ones(climate: str) -> None:
    printed = {float(row["Tj_C"]): float(row[f"hours_{climate}"]) for row in BINS}
    ours = dict(zip(CLIMATES[climate].outdoor_c.tolist(), CLIMATES[climate].hours.tolist(), strict=True))
    assert ours == {t: h for t, h in printed.items() if h or t in ours}


@pytest.mark.parametrize("row", DESIGN, ids=lambda row: row["climate"])
def test_full_load_hours_round_to_the_printed_ones(row: dict[str, str]) -> None:
    climate = CLIMATES[row["climate"]]
    found = float((climate.hours * climate.part_load(climate.outdoor_c)).sum())
    Reference(float(row["HHE_h"]), SOURCE, 0.5, "printed as whole hours").check(found)
    Reference(float(row["total_bin_hours"]), SOURCE, 0.0, "whole hours").check(float(climate.hours.sum()))
    assert climate.design_outdoor_c == float(row["Tdesignh_C"])
    assert climate.warmest_bivalent_c == float(row["Tbiv_max_C"])
    assert climate.warmest_limit_c == float(row["TOL_max_C"])
    assert climate.printed_load_hours == float(row["HHE_h"])


@pytest.mark.parametrize("row", RATIOS, ids=lambda row: f"{row['climate']} {row['Tj_C']}")
def test_part_load_ratio(row: dict[str, str]) -> None:
    found = float(CLIMATES[row["climate"]].part_load(np.array([float(row["Tj_C"])]))[0])
    source = "Regulation (EU) 811/2013 Annex I (24)"
    Reference(float(row["pl"]), source, 5e-7, "printed to six decimals").check(found)


def test_only_the_corroborated_outlet_temperature_is_called_found() -> None:
    rows = {(name, app, t): (w, status) for (name, app), known in OUTLETS.items() for t, w, status in known}
    for row in OUTLET_ROWS:
        if row["application_C"] == "45":  # an application the season is not drawn up for
            continue
        key = (row["climate"], int(row["application_C"]), float(row["Tj_C"]))
        assert rows.pop(key)[0] == float(row["outlet_C"]), REMEMBERED
    assert rows == {}
    sure = [(name, app, t, w) for (name, app), known in OUTLETS.items() for t, w, status in known if status == FOUND]
    assert sure == [("average", 55, -7.0, 52.0)]


def test_crankcase_hours_are_the_sum_of_the_others() -> None:
    """A heating-only unit keeps its crankcase warm whenever the compressor stands outside the active hours."""
    for row in OFF_ROWS:
        if row["unit_type"] == "heating_only":
            off, standby, crankcase, switched = OFF_HOURS[row["climate"]]
            assert (off, crankcase, switched) == tuple(float(row[key]) for key in ("H_TO", "H_CK", "H_OFF"))
            assert crankcase == off + standby + switched


def test_outlet_between_and_past_the_tabulated_conditions() -> None:
    # between 2 °C (42) and 7 °C (36): 4.5 °C gives 39; past 12 °C the last slope of −6/5 goes on: 15 °C gives 26.4
    found = outlet_c("average", 55, np.array([-10.0, 4.5, 12.0, 15.0]))
    np.testing.assert_allclose(found, [55.0, 39.0, 30.0, 26.4])

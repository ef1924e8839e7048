"""Where energy came from and went: every row and column adds up to the year's own totals."""

from __future__ import annotations

import pytest
from decide.invented import ROOF, stored, tariff

from simkit.case.build import vary
from simkit.year.energy_flows import energy_flows
from simkit.year.simulate import simulate


def test_rows_and_columns_add_up() -> None:
    case = vary(stored(), {"solar": {**ROOF, "export_limit_kw": 1.5}, "tariff": tariff(export=0.05)})
    year = simulate(case)
    table, totals = energy_flows(year.hourly, year.axis.hours), year.totals
    gave = table.sum(axis=1)
    assert gave["panels"] == pytest.approx(totals["solar"])
    assert gave["battery"] == pytest.approx(totals["battery_discharge"])
    assert gave["grid"] == pytest.approx(totals["import"])
    took = table.sum()
    assert took["household"] == pytest.approx(totals["household"])
    assert took["battery"] == pytest.approx(totals["battery_charge"])
    assert took["to the grid"] == pytest.approx(totals["export"])
    assert took["given up"] == pytest.approx(totals["curtailed"])
    assert took["battery's own"] == pytest.approx(totals["battery_idle"])
    assert table.loc["battery", "battery"] == 0.0
    assert table.loc["grid", ["to the grid", "given up"]].sum() == 0.0

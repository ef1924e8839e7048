"""Tables of text: their figures are those of the year, and they add up as read."""

from __future__ import annotations

from calendar import month_abbr
from dataclasses import replace

from simkit.case.build import Case, vary
from simkit.reporting.content import (
    bill_grid,
    comfort_sentence,
    energy_grid,
    months_grid,
    performance_grid,
    spf_text,
)
from simkit.reporting.money import money
from simkit.year.compare import Comparison
from simkit.year.simulate import simulate


def amount(text: str) -> float:
    return float(text.replace("€", "").replace(",", "").replace("−", "-"))


def test_lines_of_the_bill_add_up_as_read(compared: Comparison) -> None:
    for year in compared.years:
        grid = bill_grid(year)
        assert grid.total
        assert round(sum(amount(row[-1]) for row in grid.rows[:-1]), 2) == amount(grid.rows[-1][-1])
        assert grid.rows[-1][-1] == money(year.bill.total, "EUR", cents=True)


def test_lines_that_come_to_nothing_are_left_out(compared: Comparison) -> None:
    labels = [row[0] for row in bill_grid(compared.years[2]).rows]
    assert not any("oil" in label.lower() for label in labels)
    assert any("oil" in row[0].lower() for row in bill_grid(compared.years[0]).rows)


def test_months_hold_fuel_only_where_some_is_burnt(compared: Comparison) -> None:
    boiler, pump = months_grid(compared.years[0]), months_grid(compared.years[2])
    assert "Fuel kWh" in boiler.titles
    assert "Fuel kWh" not in pump.titles
    for grid in (boiler, pump):
        assert [row[0] for row in grid.rows] == [*month_abbr[1:], "Year"]
        assert all(len(row) == len(grid.titles) for row in grid.rows)
        for column in range(3, len(grid.titles)):
            figures = [amount(row[column]) for row in grid.rows]
            assert abs(sum(figures[:12]) - figures[12]) <= 6.5


def test_performance_names_each_boundary(compared: Comparison) -> None:
    grid = performance_grid(compared.years[2])
    assert grid is not None
    assert [row[0] for row in grid.rows] == ["H1", "H2", "H3", "H4", "", ""]
    assert grid.rows[3][1] == spf_text(compared.years[2]) == f"{compared.years[2].spf.h4:.2f}"
    assert grid.rows[3][2] == "with circulation pumps and standby"


def test_without_a_heat_pump_there_is_no_performance(compared: Comparison) -> None:
    assert performance_grid(compared.base) is None
    assert spf_text(compared.base) == "–"


def test_without_the_share_of_the_fan_h1_is_said_to_be_unknown(flagship: Case) -> None:
    grid = performance_grid(simulate(vary(flagship, {"heat_pump.fan_share": None})))
    assert grid is not None
    assert grid.rows[0] == ("H1", "–", "compressor alone: not available, the fan's share is not stated")


def test_energies_that_are_nothing_are_left_out(compared: Comparison) -> None:
    boiler, pump = (
        {row[k]: row[k + 1] for row in energy_grid(compared.years[place]).rows for k in (0, 2)} for place in (0, 2)
    )
    assert "oil burnt, gross" in boiler
    assert "heat pump, electricity" not in boiler
    assert pump["household"] == "3,100"
    assert "solar panels" not in pump


def test_comfort_is_told_in_one_sentence_after_its_verdict(compared: Comparison) -> None:
    year = compared.base
    said = comfort_sentence(year)
    assert said.startswith(year.comfort.words[0].upper() + year.comfort.words[1:] + ". ")
    assert f"{year.comfort.hours_below_18:,.0f} h were under 18 °C" in said


def test_tax_has_no_quantity(flagship: Case) -> None:
    taxed = vary(flagship, {"tariff.prices_include_tax": False})
    rows = {row[0]: row for row in bill_grid(replace(simulate(taxed))).rows}
    assert rows["Tax at 9 %"][1] == ""

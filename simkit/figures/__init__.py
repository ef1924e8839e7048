"""Tables and frames in; figures, and the sentence that says each, out. matplotlib is loaded by the first one drawn."""

from simkit.figures.decide.battery_size import battery_size, battery_size_sentence
from simkit.figures.decide.effect import setting_effect, setting_effect_sentence
from simkit.figures.decide.flow import flow_cost, flow_cost_sentence
from simkit.figures.decide.gap import gap_by_month, gap_by_month_sentence
from simkit.figures.money.cost import year_cost, year_cost_sentence
from simkit.figures.money.ladder import emitter_steps, emitter_steps_sentence
from simkit.figures.money.over_years import (
    cash_fan,
    cash_fan_sentence,
    ledger_steps,
    ledger_steps_sentence,
    offers_over_years,
)
from simkit.figures.money.tornado import (
    budget_frontier,
    budget_frontier_sentence,
    tipping_map,
    tipping_map_sentence,
    tornado_bars,
)
from simkit.figures.readings import (
    fan_by_month,
    fan_by_month_sentence,
    fit_over_time,
    fit_over_time_sentence,
    posterior_pairs,
    posterior_pairs_sentence,
    running_account,
    running_account_sentence,
    signature_days,
    signature_days_sentence,
    what_was_read,
    what_was_read_sentence,
)
from simkit.figures.tariff.band_load import band_load, band_load_sentence
from simkit.figures.tariff.cheap_hours import cheap_hours, cheap_hours_sentence
from simkit.figures.tariff.clockface import clock_strip, clock_strip_sentence
from simkit.figures.tariff.ranking import tariff_bars, tariff_bars_sentence
from simkit.figures.year.day_costs import cost_calendar, cost_calendar_sentence
from simkit.figures.year.duration import load_duration, load_duration_sentence
from simkit.figures.year.energy_flows import source_use_sentence, source_use_squares
from simkit.figures.year.monthly import months, months_sentence
from simkit.figures.year.performance import cop_by_outdoor, cop_by_outdoor_sentence
from simkit.figures.year.periods import cold_week, cold_week_sentence, one_day, one_day_sentence
from simkit.figures.year.rooms import room_flows, room_flows_sentence
from simkit.figures.year.two_strips import day_strips, day_strips_sentence

__all__ = [
    "band_load",
    "band_load_sentence",
    "battery_size",
    "battery_size_sentence",
    "budget_frontier",
    "budget_frontier_sentence",
    "cash_fan",
    "cash_fan_sentence",
    "cheap_hours",
    "cheap_hours_sentence",
    "clock_strip",
    "clock_strip_sentence",
    "cold_week",
    "cold_week_sentence",
    "cop_by_outdoor",
    "cop_by_outdoor_sentence",
    "cost_calendar",
    "cost_calendar_sentence",
    "day_strips",
    "day_strips_sentence",
    "emitter_steps",
    "emitter_steps_sentence",
    "fan_by_month",
    "fan_by_month_sentence",
    "fit_over_time",
    "fit_over_time_sentence",
    "flow_cost",
    "flow_cost_sentence",
    "gap_by_month",
    "gap_by_month_sentence",
    "ledger_steps",
    "ledger_steps_sentence",
    "load_duration",
    "load_duration_sentence",
    "months",
    "months_sentence",
    "offers_over_years",
    "one_day",
    "one_day_sentence",
    "posterior_pairs",
    "posterior_pairs_sentence",
    "room_flows",
    "room_flows_sentence",
    "running_account",
    "running_account_sentence",
    "setting_effect",
    "setting_effect_sentence",
    "signature_days",
    "signature_days_sentence",
    "source_use_sentence",
    "source_use_squares",
    "tariff_bars",
    "tariff_bars_sentence",
    "tipping_map",
    "tipping_map_sentence",
    "tornado_bars",
    "what_was_read",
    "what_was_read_sentence",
    "year_cost",
    "year_cost_sentence",
]

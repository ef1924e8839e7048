"""Tables and frames in; figures, and the sentence that says each, out. matplotlib is loaded by the first one drawn."""

from simkit.figures.clockface import clock_strip, clock_strip_sentence
from simkit.figures.cost import year_cost, year_cost_sentence
from simkit.figures.duration import load_duration, load_duration_sentence
from simkit.figures.effect import setting_effect, setting_effect_sentence
from simkit.figures.flow import flow_cost, flow_cost_sentence
from simkit.figures.ladder import emitter_steps, emitter_steps_sentence
from simkit.figures.monthly import months, months_sentence
from simkit.figures.performance import cop_by_outdoor, cop_by_outdoor_sentence
from simkit.figures.periods import cold_week, cold_week_sentence, one_day, one_day_sentence
from simkit.figures.rooms import room_flows, room_flows_sentence

__all__ = [
    "clock_strip",
    "clock_strip_sentence",
    "cold_week",
    "cold_week_sentence",
    "cop_by_outdoor",
    "cop_by_outdoor_sentence",
    "emitter_steps",
    "emitter_steps_sentence",
    "flow_cost",
    "flow_cost_sentence",
    "load_duration",
    "load_duration_sentence",
    "months",
    "months_sentence",
    "one_day",
    "one_day_sentence",
    "room_flows",
    "room_flows_sentence",
    "setting_effect",
    "setting_effect_sentence",
    "year_cost",
    "year_cost_sentence",
]

"""A simulated year in; the picture of its machine and its weather that panels show beside their own out."""

from __future__ import annotations

from simkit.answers.answer import Picture
from simkit.figures.year.machine import machine_and_weather, machine_sentence
from simkit.year.year import Year


def machine_picture(year: Year) -> Picture:
    """COP by outdoor temperature, and the degree-days of the weather."""
    written = year.case.notation
    return Picture(
        "machine",
        lambda figure: machine_and_weather(year.hourly, notation=written, figure=figure),
        machine_sentence(year.hourly, notation=written),
    )

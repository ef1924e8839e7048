"""The teacher's plan of fifty minutes: what happens when, and what the pupils know after it."""

from __future__ import annotations

from dataclasses import dataclass

AIM = (
    "In fifty minutes sixteen-year-olds find out what heat from electricity costs: they guess, move a slider, work "
    "it out "
    "for a home of their own, and say why."
)
MATERIAL = (
    "Each pupil types a number from the list of the class: home, prices and errors follow from it, so that "
    "neighbours have "
    "other numbers. Print the worksheets with `simkit lesson sheet` and the key with `simkit lesson key`.",
    "Level 1 is cost and energy, level 2 compares and finds the reason, level 3 derives it. A level holds the ones "
    "below. "
    "Boxes say at once whether an answer is right, and a usual slip by its name.",
    "Nothing is fetched from anywhere. Collect the notebooks in a folder: `simkit lesson check FOLDER` gives the "
    "marks, and "
    "runs nothing that stands in them.",
)


@dataclass(frozen=True)
class Part:
    """A part of the lesson: its title, its minutes, what happens and what is known after it."""

    title: str
    minutes: int
    doing: str
    aim: str


PLAN = (
    Part("Guess", 5, "All type their number, see their home, and guess what its year of electricity costs and which "
    "setting matters most.",
         "A guess is written down before anything is worked out."),
    Part("A. Heat from electricity", 9, "Exercises A; one pupil says where the rest of the heat comes from.",
         "More than 1 kWh of heat of 1 kWh of electricity all year, against 1 of a direct heater; ratios are not "
         "averaged."),
    Part("B. What a kelvin saves", 10, "Guess per cent a kelvin, move the flow, exercises B.",
         "2 to 3 % for each kelvin of the water that flows; about half for a kelvin on the coldest day, and why."),
    Part("C. One price, or a cheap night", 8, "Guess which tariff costs less, move the hours of hot water, exercises "
    "C.",
         "Cost is energy times price; which price is paid depends on when, and there is a share where both cost the "
         "same."),
    Part("D. Cooler at night", 8, "Guess whether a set-back saves money, move it, exercises D.",
         "Less heat is not always less money: hotter water in expensive hours can cost what the cool night saved."),
    Part("E. Ten errors", 8, "In pairs: find the ten errors in each other's calculation.",
         "kW and kWh, per cent of what, sums and means, units: results are checked before they are believed."),
    Part("What stays", 2, "Each says one sentence; notebooks are saved and handed in.",
         "Which of the four would you try at home, and what must stay warm?"),
)  # fmt: skip

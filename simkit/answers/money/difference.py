"""The causes of a difference in; why one year costs more than another, in words, a table and a stair, out."""

from __future__ import annotations

from typing import Any

import numpy as np
import pandas as pd

from simkit.answers.answer import Answer, Column, Picture, Table
from simkit.answers.cautions import cautions_for
from simkit.answers.wording import ESTIMATE, provenance_of, with_option
from simkit.finance.difference import Difference, Parts
from simkit.notation import Notation, named

SHARED_OUT = (
    "Each cause is changed in every order, and what it then moves is averaged (Shapley): nothing is left between them, "
    "and they add up to the cent."
)
WEATHER_LAST = "The weather comes last: what is left once the second home is simulated in the weather of the first."
CAUSES_MEAN = (
    "Performance: energy for a unit of heat, all heat sources, pumps and standby counted. Price: of what is used, at "
    "the hours in which it is used."
)


def difference_answer(found: Difference) -> Answer:
    """Say why one year costs more than another.

    Parameters
    ----------
    found
        The causes.
    """
    base, other = found.base, found.other
    notation, table = base.case.notation, difference_table(found)
    picture = difference_picture(found)
    more, against = found.total, named(base.case.name)
    said = (
        f"costs {notation.more_or_less(more)} a year than {against}" if round(more) else f"costs as much as {against}"
    )
    wrong = "".join(f"{lacks} " for year in (other, base) if (lacks := with_option(year, year.case.name)))
    return Answer(
        other.case.name, f"Why does it cost more or less than {against}?",
        (f"{wrong}{named(other.case.name)} {said}.", picture.sentence, ESTIMATE), notation,
        tables=(table,), pictures=(picture,), cautions=cautions_for([base, other]), notes=method_of(found),
        provenance=provenance_of(other), data={"case": other.case.name, **difference_data(found)}, in_full=True,
    )  # fmt: skip


def method_of(found: Difference) -> tuple[str, ...]:
    """How it was shared out."""
    return (SHARED_OUT, WEATHER_LAST) if "weather" in found.amounts else (SHARED_OUT,)


def difference_data(found: Difference) -> dict[str, Any]:
    """The object of a difference: both costs, amounts by cause [currency], their sum, both sides in kWh and per kWh."""
    sides = {
        side: {name: dict(zip(("quantity_kwh", "per_quantity", "price_per_kwh"), map(_known, term[:3]), strict=True))
               for name, term in parts.terms.items()}
        for side, parts in (("before", found.before), ("after", found.after))
    }  # fmt: skip
    costs = {"against_year_cost": found.base.bill.total, "year_cost": found.other.bill.total}
    return {"against": found.base.case.name, **costs, "causes": dict(found.amounts), "amount": found.total, **sides}


def _known(value: float) -> float | None:
    return value if np.isfinite(value) else None


def difference_table(found: Difference) -> Table:
    """One row by cause: what it makes a year cost more, and what it was and is."""
    notation = found.base.case.notation
    frame = pd.DataFrame(
        {
            "cause_amount": [*found.amounts.values(), found.total],
            "changed_words": [*(changed_words(found, cause, notation) for cause in found.amounts), ""],
        },
        index=pd.Index([*found.amounts, "all of it"], name="cause"),
    )
    title = f"Why {named(found.other.case.name)} costs more or less than {named(found.base.case.name)}"
    note = f"{CAUSES_MEAN} {' '.join(method_of(found))}"
    return Table("difference", title, frame, tuple(map(Column, frame.columns)), note, total=True, first="Cause")


def difference_picture(found: Difference) -> Picture:
    """The stair from the one cost to the other."""
    from simkit import figures
    from simkit.figures.money.causes import ROW_INCHES, SHEET

    frame = difference_table(found).frame.iloc[:-1]
    names = (found.base.case.name, found.other.case.name)
    words: dict[str, Any] = {"start": found.base.bill.total, "names": names, "notation": found.base.case.notation}
    heights = [ROW_INCHES * (len(frame) + 2)]
    return Picture(
        "difference", lambda figure: figures.cause_steps(frame, ax=SHEET.axes(heights, figure=figure)[0], **words),
        figures.cause_steps_sentence(frame, **words),
    )  # fmt: skip


def changed_words(found: Difference, cause: str, notation: Notation) -> str:
    """What a cause was and is, in its own unit."""
    if cause == "weather":
        mean, other = (year.hourly["outdoor_c"].mean() for year in (found.base, found.other))
        return f"{notation.number(mean, 1)} to {notation.number(other, 1)} °C outdoors on average"
    was, now = (_words(parts, cause, notation) for parts in (found.before, found.after))
    unit = {
        "heat wanted": "kWh to the rooms", "hot water": "kWh into the hot water", "household and car": "kWh",
        "stove and room heater": "kWh burnt or taken",
        "performance": "kWh for a kWh of heat", "panels": "kWh used at home or sold",
        "storage": "kWh out of the battery", "price": "a kWh", "standing charges": "a year", "peak power": "a year",
    }[cause]  # fmt: skip
    return f"{was} to {now} {unit}"


def _words(parts: Parts, cause: str, notation: Notation) -> str:
    """What a cause comes to on one side."""
    terms = parts.terms
    amounts = {"standing charges": parts.standing, "peak power": parts.peak}
    if cause in amounts:
        return notation.money(amounts[cause], 2)
    if cause in ("performance", "price"):
        used = {name: terms[name].quantity * terms[name].per_quantity for name in ("space", "water", "other")
                if terms[name].quantity}  # fmt: skip
        heat = terms["space"].quantity + terms["water"].quantity
        if cause == "performance":
            return notation.number((used.get("space", 0.0) + used.get("water", 0.0)) / heat if heat else np.nan, 2)
        return notation.money(sum(kwh * terms[name].price for name, kwh in used.items()) / (sum(used.values()) or 1), 4)
    kinds = {"heat wanted": ("space",), "hot water": ("water",), "household and car": ("other",),
             "stove and room heater": ("beside",), "panels": ("used", "sold"),
             "storage": ("stored",)}[cause]  # fmt: skip
    return notation.number(sum(terms[name].quantity for name in kinds))

"""A home fitted to readings in; what they say of it, how well it follows them, and what they can't tell, out."""

from __future__ import annotations

from typing import Any

import numpy as np
import pandas as pd

from simkit.answers.answer import Answer, Column, Picture, Table
from simkit.answers.cautions import cautions_for
from simkit.answers.meter.measured import METERS, Measured, between, figures, off, strained_sentences, upper
from simkit.answers.wording import provenance_of
from simkit.errors import DataError
from simkit.meter.account.signature import Signature, energy_signature
from simkit.meter.fitting.backtest import HeldOut
from simkit.meter.fitting.fitted import LEARNT, LEVEL, Fit
from simkit.meter.fitting.lanes import METERED_AS
from simkit.notation import Notation
from simkit.year.simulate import simulate

NINE = "Likely here: nine in ten of the homes that fit the readings lie in that range."
TERMS = "Off in all: NMBE, simulated less measured; off on a typical day: CV(RMSE); both as shares of the mean, over N."
SIGNED_METERS = ("import_kwh", "heat_kwh", "heat_pump_kwh", "fuel_kwh")
ONE_DAY = 1.1  # days, clock changes included
MOST_NAMED = 5
SIGNED = ("base_kwh", "slope_kwh_per_k", "change_c")
SIGNATURE_ROWS = ("A day without heating", "More for each kelvin colder", "Heating begins below")
SIGNATURE_UNITS = ("kWh", "kWh/K", "°C")


def fit_answer(fit: Fit, *, files: tuple[str, ...] = ()) -> Answer:
    """Say what readings tell of a home.

    Parameters
    ----------
    fit
        The fitted home.
    files
        Names of the files that it was fitted to.
    """
    notation = fit.case.notation
    signature, why_not = signature_of(fit)
    line = [_signature(signature, notation)] if signature else []
    tables = [unknowns_table(fit), *held_out_tables(fit, notation), _meters(fit), *line]
    return Answer(
        fit.case.name, "What do the readings say of the home?", (*fit_sentences(fit, signature, notation), NINE),
        notation, tables=tuple(tables), pictures=fit_pictures(fit, signature),
        cautions=cautions_for([simulate(fit.fitted_case())]),
        notes=(*fit_notes(fit), *((fit.unsaid,) if fit.unsaid else ()), *why_not), provenance=provenance_of(fit),
        data=fit_data(fit, files) | {"signature": [*_signed(signature, notation), *why_not]},
    )  # fmt: skip


def fit_sentences(fit: Fit, signature: Signature | None, notation: Notation) -> list[str]:
    """The heat loss, how well the fit would have predicted, what speaks against it, and what can't be told apart."""
    said = [
        loss_sentence(fit, notation),
        *held_out_sentences(fit, notation),
        *_against(fit, signature, notation),
    ]
    for first, second, r in fit.tied():
        said.append(
            f"But these readings can't tell {first} from {second}: only the two together are known "
            f"(correlation {notation.number(r, 2)})."
        )
    for meter, metric in fit.metrics.items():
        said.append(
            f"The fitted home follows {METERS[meter]} over {metric.count} days or spans: "
            f"{off(metric.nmbe, metric.cv_rmse, notation)}."
        )
    return said


def held_out_sentences(fit: Fit, notation: Notation) -> list[str]:
    """How well thirds of the first meter's days would have been predicted from the others."""
    meter = fit.channels[0].name
    held = fit.held_out.get(meter)
    if held is None:
        return [f"{upper(METERS[meter])} has too few days or spans to try the fit on some of them."]
    count = len(held.days)
    middle, line, total = (notation.share(error) for error in (held.error(), held.error("line"), held.total_error))
    better = "" if held.error() <= held.error("line") else " So trust the line sooner than this home."
    said = (
        f"Tried on its own days, each third of them predicted from the others: {held.inside} of {count} lie in "
        f"the range that should hold {round(LEVEL * count)}; a day is {middle} off, and a third of them together "
        f"{total}. A straight line on the temperature outdoors is {line} off on a day.{better}"
    )
    apart = fit.apart(meter)
    if not len(apart):
        return [said]
    days = ", ".join(notation.date(day.date()) for day in apart[:MOST_NAMED])
    more = f" and {len(apart) - MOST_NAMED} more" if len(apart) > MOST_NAMED else ""
    return [
        said,
        f"Unlike the rest, so that they count for little: {days}{more}. Was nobody in, or did the meter fail?",
    ]


def _against(fit: Fit, signature: Signature | None, notation: Notation) -> list[str]:
    """Unknowns that run into their priors, and a loss that the days' own slope contradicts."""
    said = strained_sentences(fit, notation)
    meant = _fitted_slope(fit, signature)
    if signature is not None and meant is not None:
        slope, row = signature.slope_kwh_per_k, fit.table.loc["loss_w_per_k"]
        known = meant * (row["high"] - row["low"]) / (2.0 * row["middle"])
        if abs(slope.middle - meant) > float(np.hypot(known, (slope.high - slope.low) / 2.0)):
            said.append(
                f"But the days contradict that heat loss: each kelvin colder took {figures(slope.middle, notation)} "
                f"kWh more, where the fitted home would take {figures(meant, notation)}, further apart than both are "
                "uncertain. Something else went with the weather: another heater, a window left open, a new setting."
            )
    return said


def _fitted_slope(fit: Fit, signature: Signature | None) -> float | None:
    """Slope of the fitted home's own days on the same temperatures [kWh/K]; None where the two can't be compared."""
    rows = _signed_days(fit)
    if signature is None or rows is None:
        return None
    try:
        made = energy_signature(rows["predicted"], rows["outdoor_c"])
    except DataError:
        return None
    return made.slope_kwh_per_k.middle if made.changes == signature.changes else None


def held_out_tables(fit: Fit, notation: Notation) -> list[Table]:
    """Each meter's days, each third of them predicted from the others."""
    if not fit.held_out:
        return []
    rows = {
        METERS[name]: {"count": len(held.days), "inside_count": held.inside, **_off(held)}
        for name, held in fit.held_out.items()
    }
    frame = pd.DataFrame.from_dict(rows, orient="index").rename_axis("meter")
    note = f"Ranges should hold {notation.share(LEVEL)} of the days."
    return [
        Table("held", "Tried on its own days, each third predicted from the others", frame, note=note, first="Meter")
    ]


def _off(held: HeldOut) -> dict[str, float]:
    """How far off a day is by the fit and by a straight line, and a third as a whole, as shares."""
    return {
        "day_off_share": held.error(), "line_off_share": held.error("line"), "third_off_share": held.total_error,
    }  # fmt: skip


def loss_sentence(fit: Fit, notation: Notation) -> str:
    """The heat loss found, against the one described."""
    row, described = fit.table.loc["loss_w_per_k"], fit.unknowns[0].centre
    inside = row["low"] <= described <= row["high"]
    verdict = "as it was taken to be" if inside else "not what it was taken to be"
    return (
        f"The home loses about {figures(row['middle'], notation)} W/K "
        f"(likely {between(row['low'], row['high'], notation)}): {verdict} ({figures(described, notation)} W/K)."
    )


def unknowns_table(fit: Fit) -> Table:
    """Each unknown: as described, and as the readings have it."""
    table = fit.table.rename(
        columns={
            "what": "unknown", "unit": "unit_words", "prior": "described", "middle": "fitted", "low": "fitted_low",
            "high": "fitted_high", "spread_left": "left_share",
        }
    )  # fmt: skip
    table["learnt_words"] = [
        "little" if left > LEARNT else "much" if left < 0.5 else "some" for left in table["left_share"]
    ]
    shown = (
        Column("unit_words"),
        Measured("described"),
        Measured("fitted", "fitted_low", "fitted_high"),
        Column("learnt_words"),
    )
    table["unknown"], table["unit_words"] = table["unknown"].map(upper), table["unit_words"].replace("share", "times")
    return Table(
        "unknowns", "The home, as described and as fitted", table.set_index("unknown"), shown, NINE, first="What"
    )


def _meters(fit: Fit) -> Table:
    rows = {
        METERS[name]: {"count": one.count, "off_share": one.nmbe, "typical_off_share": one.cv_rmse}
        for name, one in fit.metrics.items()
    }
    table = pd.DataFrame.from_dict(rows, orient="index").rename_axis("meter")
    return Table("meters", "How well the fitted home follows the meters", table, note=TERMS, first="Meter")


def signature_of(fit: Fit) -> tuple[Signature | None, tuple[str, ...]]:
    """The energy signature of the whole home's single days; where there is none, why."""
    rows = _signed_days(fit)
    if rows is None:
        panels = "net_kwh" in _single_days(fit)["meter"].to_numpy()
        why = "With panels a day follows the sun as well as the cold" if panels else "There are no single days"
        return None, (f"{why}: no energy signature is drawn.",)
    try:
        return energy_signature(rows["measured"], rows["outdoor_c"]), ()
    except DataError as problem:
        return None, (str(problem),)


def _single_days(fit: Fit) -> pd.DataFrame:
    return fit.residuals[fit.residuals["days"] < ONE_DAY]


def _signed_days(fit: Fit) -> pd.DataFrame | None:
    """Single days, by their start, of the meter that hangs on the weather most directly; None where there are none."""
    rows = _single_days(fit)
    meter = next((name for name in SIGNED_METERS if (rows["meter"] == name).any()), None)
    return rows[rows["meter"] == meter].set_index("start") if meter is not None else None


def _signature(signature: Signature, notation: Notation) -> Table:
    kept = SIGNED if signature.changes else SIGNED[1:2]
    rows = {}
    for name, words, unit in zip(SIGNED, SIGNATURE_ROWS, SIGNATURE_UNITS, strict=True):
        one = getattr(signature, name)
        if name in kept:
            rows[words] = {"unit_words": unit, "fitted": one.middle, "fitted_low": one.low, "fitted_high": one.high}
    table = pd.DataFrame.from_dict(rows, orient="index").rename_axis("signature")
    shown = (Column("unit_words"), Measured("fitted", "fitted_low", "fitted_high"))
    return Table(
        "signature",
        "The plain method, for comparison",
        table,
        shown,
        " ".join(_signed(signature, notation)),
        first="Energy signature",
    )


def _signed(signature: Signature | None, notation: Notation) -> list[str]:
    if signature is None:
        return []
    metric = signature.metrics
    said = [
        f"The straight line through days and their temperature is {notation.share(metric.cv_rmse)} off on a typical "
        f"day (CV(RMSE) over N = {metric.count})."
    ]
    warm = (
        "No day was warm enough to show where heating ends: base and change-point can't be told apart from these days."
    )
    return said if signature.changes else [*said, warm]


def fit_pictures(fit: Fit, signature: Signature | None) -> tuple[Picture, ...]:
    """Days measured and fitted, what the readings leave open, and the energy signature."""
    from simkit import figures as drawn

    made = [
        Picture("fit", lambda figure: drawn.fit_over_time(fit, figure=figure), drawn.fit_over_time_sentence(fit)),
        Picture("pairs", lambda figure: drawn.posterior_pairs(fit, figure=figure), drawn.posterior_pairs_sentence(fit)),
    ]
    if signature is not None:
        draw = lambda figure: drawn.signature_days(signature, notation=fit.case.notation, figure=figure)  # noqa: E731
        made.append(Picture("signature", draw, drawn.signature_days_sentence(signature, notation=fit.case.notation)))
    return tuple(made)


def fit_notes(fit: Fit) -> tuple[str, ...]:
    """What was assumed of meters and weather."""
    return (*fit.notes, *(METERED_AS[meter] for meter in fit.noises if meter in METERED_AS))


def fit_data(fit: Fit, files: tuple[str, ...]) -> dict[str, Any]:
    """A fit as plain data."""
    return {
        "case": fit.case.name,
        "files": list(files),
        "unknowns": {
            str(name): {key: row[key] for key in ("unit", "prior", "low", "middle", "high", "spread_left")}
            for name, row in fit.table.to_dict("index").items()
        },
        "tied": [list(pair) for pair in fit.tied()],
        "held_out": {
            name: {"days": len(held.days), "inside": held.inside, **_off(held), "widened": held.widened}
            for name, held in fit.held_out.items()
        },
        "strained": [one.name for one in fit.strained()],
        "metrics": {name: vars(one) for name, one in fit.metrics.items()},
        "draws": len(fit.draws),
    }  # fmt: skip

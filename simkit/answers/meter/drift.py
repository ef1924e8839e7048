"""A drift and what changed then in; both in words, and the day to look at, out."""

from __future__ import annotations

import numpy as np

from simkit.answers.meter.measured import figures
from simkit.meter.account.drift import OWN_METER, Drift
from simkit.meter.account.what_changed import LIKELY, UNRESOLVED, Changed
from simkit.notation import Notation

ONLY_OWN = "The whole home's meter doesn't show it for certain."
LEAST_HEAT = 0.03  # own: a ratio of two meters that moved by less has not moved


def drift_words(drift: Drift, notation: Notation) -> str:
    """A drift, to follow what was used in the same breath."""
    way, sign = ("more", 1.0) if drift.kwh_per_day > 0 else ("less", -1.0)
    low, high = sorted((sign * drift.low, sign * drift.high))
    takes = "the heat pump, by its own meter, takes each day" if drift.meter == OWN_METER else "a day takes"
    return (
        f"since about {notation.date(drift.since.date())} {takes} {notation.number(abs(drift.kwh_per_day), 1)} kWh "
        f"{way} than expected ({notation.number(low, 1)} to {notation.number(high, 1)}, "
        f"{notation.share(drift.confidence, 1)} sure): {drift.kind}"
    )


def changed_words(changed: Changed, drift: Drift, notation: Notation) -> str:
    """A day to look at, what changed, and what the heat pump's own meters say of it."""
    used, wanted = (figures(kwh, notation) for kwh in (changed.metered_kwh, changed.expected_kwh))
    own = drift.meter == OWN_METER
    took = f"the heat pump took {used} kWh" if own else f"{used} kWh"
    said = [f"Look first at {notation.date(changed.day.date())}: {took} where {wanted} were expected."]
    said += [ONLY_OWN] if own else []
    if not changed.what:
        said.append(f"What changed can't be said closer: {UNRESOLVED}.")
    elif len(changed.what) == 1:
        said.append(f"What changed is most likely {LIKELY[changed.what[0]]}.")
    else:
        said.append(f"What changed may be {' or '.join(changed.what)}: these readings don't tell them apart.")
    if np.isfinite(changed.pump_kwh) and not own:
        of = figures(abs(changed.pump_kwh), notation)
        way = "more" if changed.pump_kwh > 0 else "less"
        said.append(
            f"By its own meter the heat pump takes {of} kWh a day {way} than before, where the whole home takes "
            f"{figures(abs(drift.kwh_per_day), notation)}."
        )
    if np.isfinite(changed.heat_share):
        moved = changed.heat_share - 1.0
        way = "more" if moved > 0 else "less"
        same = "as much heat for its electricity as before"
        gives = same if abs(moved) < LEAST_HEAT else f"{notation.share(abs(moved))} {way} heat for its electricity"
        said.append(f"It gives {gives}, at the same weather.")
    return " ".join(said)

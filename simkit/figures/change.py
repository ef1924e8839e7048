"""A change of a home by its readings in; its days against outdoor temperature, and the sentence that says it, out."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from simkit.figures import style
from simkit.figures.style import EndLabel

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

SIDES = ((False, "without the change (dots)", "o", style.OUTDOOR), (True, "with it (triangles)", "^", style.ROOM))


def before_and_after(change: Any, *, figure: Figure | None = None) -> Axes:
    """Draw days without and with a change against outdoor temperature, each with its line."""
    ax = style.Sheet(right=2.1).axes([2.6], figure=figure)[0]
    labels = []
    for after, name, mark, colour in SIDES:
        days = change.effect.days
        days = days[days["after"] == after].sort_values("outdoor_c")
        ax.plot(days["outdoor_c"], days["measured_kwh"], mark, color=colour, markersize=3.5, alpha=0.8)
        ax.plot(days["outdoor_c"], days["predicted_kwh"], color=colour, linewidth=1.8)
        labels.append(EndLabel(float(days["predicted_kwh"].iloc[-1]), name, colour))
    style.dress(ax, change.case.notation, grid="both")
    ax.set_ylim(bottom=0)
    style.head(ax, "Energy of a day [kWh]")
    style.foot(ax, "Mean outdoor temperature of the day [°C]", side="right")
    style.label_ends(ax, labels)
    style.title(ax, "Before and after, weather by weather")
    return ax


def before_and_after_sentence(change: Any) -> str:
    """Say in one sentence what `before_and_after` shows."""
    effect = change.effect
    before, after = (
        change.case.notation.number(value, 1) for value in (effect.before_kwh, effect.before_kwh + effect.effect_kwh)
    )
    return f"At the mean weather of all days a day takes {before} kWh without the change and {after} kWh with it."

"""A flow and emitters to try in; a slider, a list for each room, the answer and one table that follow them out."""

from __future__ import annotations

from functools import partial
from typing import Any

import ipywidgets as w
import pandas as pd

from simkit.figures.style import number
from simkit.panels.debounce import Rest
from simkit.panels.fields import Number
from simkit.panels.look import STYLE, answer_html, hint_html, table_html, wrong_html
from simkit.panels.rooms.model import RoomTrial

WAITING = "Likely range: worked out when the slider rests."


class RoomTrialView:
    """The widgets of rooms to try.

    Attributes
    ----------
    widget
        What is displayed.
    controls
        Slider or list of each setting, by name.
    box
        Number box of the flow.
    """

    def __init__(self, trial: RoomTrial) -> None:
        self.trial = trial
        self._quiet = False
        self.controls: dict[str, Any] = {}
        self.hints = {name: w.HTML() for name in trial.fields}
        self.box = w.Text(continuous_update=False, tooltip="Flow on the design day", layout=w.Layout(width="64px"))
        self.box.observe(partial(self._moved, "flow_c"), "value")
        grid = w.GridBox(
            [self._control(name) for name in trial.fields],
            layout=w.Layout(grid_template_columns="repeat(2, minmax(0, 1fr))", grid_gap="2px 28px"),
        )
        self.answer, self.likely, self.table = w.HTML(), w.HTML(), w.HTML()
        reset = w.Button(description="Reset all", layout=w.Layout(width="auto", align_self="flex-start"))
        reset.add_class("simkit-plain")
        reset.on_click(lambda _: trial.reset())
        dress = w.HTML(STYLE, layout=w.Layout(display="none"))
        self.widget = w.VBox([dress, self.answer, self.likely, grid, self.table, reset])
        self.widget.add_class("simkit")
        self._rest = Rest(self._sharpen)
        trial.on_change(self._follow)
        self._follow()

    def _control(self, name: str) -> Any:
        chosen, look = self.trial.fields[name], {"layout": w.Layout(flex="1 1 0", min_width="0")}
        if isinstance(chosen, Number):
            made: Any = w.FloatSlider(
                value=self.trial.values[name], min=chosen.low, max=chosen.high, step=chosen.step, readout=False, **look
            )
        else:
            options = [(words, value) for value, words in chosen.options]  # type: ignore[union-attr]
            made = w.Dropdown(options=options, value=self.trial.values[name], **look)
        made.add_class("simkit-above")
        made.observe(partial(self._moved, name), "value")
        self.controls[name] = made
        row = [made, self.box] if isinstance(chosen, Number) else [made]
        return w.VBox([w.HBox(row, layout=w.Layout(align_items="flex-end")), self.hints[name]])

    def _moved(self, name: str, change: Any) -> None:
        if self._quiet:
            return
        self.trial.set(name, change["new"])
        if name in self.trial.problems:
            self._follow()

    def _follow(self) -> None:
        """Show the answer first, then the rooms, then put the controls where the model has them."""
        trial = self.trial
        amount = f"{number(trial.year.bill.total)} {trial.year.bill.currency} a year"
        self.answer.value = answer_html(amount, "", [trial.sentence])
        self.table.value = table_html(_in_words(trial.table()), label="Rooms", text=["emitter"])
        self._quiet = True
        try:
            for name, control in self.controls.items():
                chosen, value = trial.fields[name], trial.values[name]
                control.value = value
                unit = f" [{chosen.unit}]" if chosen.unit else ""
                control.description = f"{chosen.label}{unit}"
                (control.add_class if trial.differs(name) else control.remove_class)("moved")
                problem = trial.problems.get(name, "")
                said = chosen.limits if isinstance(chosen, Number) else ""
                self.hints[name].value = wrong_html(problem) if problem else hint_html(said)
            if "flow_c" not in trial.problems:
                self.box.value = trial.fields["flow_c"].words(trial.values["flow_c"])
        finally:
            self._quiet = False
        self.likely.value = hint_html(WAITING)
        self._rest.wish()

    def _sharpen(self) -> None:
        self.likely.value = hint_html(self.trial.likely())


def _in_words(table: pd.DataFrame) -> pd.DataFrame:
    """The table as it is read."""
    return pd.DataFrame(
        {
            "emitter": table["emitter"],
            "flow needed [°C]": [f"{value:.1f}" for value in table["flow_needed_c"]],
            "needs [°C]": [f"{value:.1f}" for value in table["needed_c"]],
            "design day [°C]": [f"{value:.1f}" for value in table["design_c"]],
            "": table["verdict"],
        },
        index=table.index,
    )

"""A schedule to try on every tariff in; sliders, one picture and one table that follow them out."""

from __future__ import annotations

from functools import partial
from html import escape
from typing import Any

import ipywidgets as w

from simkit.panels.fields import Number, TimeOfDay
from simkit.panels.look import STYLE, hint_html, wrong_html
from simkit.panels.tariffs.model import FILE, TariffTrial
from simkit.panels.tariffs.picture import WIDTH_PX, TariffPicture


class TariffTrialView:
    """The widgets of a schedule that is tried on every tariff.

    Attributes
    ----------
    widget
        What is displayed.
    sliders, boxes
        Slider or list of each setting, and the box beside it, by name.
    """

    def __init__(self, trial: TariffTrial) -> None:
        self.trial = trial
        self._quiet = False
        self.sliders: dict[str, Any] = {}
        self.boxes: dict[str, Any] = {}
        self.hints = {name: w.HTML() for name in trial.fields}
        layout = w.Layout(grid_template_columns="repeat(2, minmax(0, 1fr))", grid_gap="2px 28px")
        grid = w.GridBox([self._control(name) for name in trial.fields], layout=layout)
        self._picture = TariffPicture(trial.table(), currency=trial.currency, own=trial.own)
        self.image, self.words = w.Image(format="png", width=WIDTH_PX), w.HTML()
        dress = w.HTML(STYLE, layout=w.Layout(display="none"))
        self.widget = w.VBox([dress, grid, self.image, self.words, self._foot()])
        self.widget.add_class("simkit")
        trial.on_change(self._follow)
        self._follow()

    def _control(self, name: str) -> Any:
        chosen, value = self.trial.fields[name], self.trial.values[name]
        look = {"layout": w.Layout(flex="1 1 0", min_width="0")}
        if isinstance(chosen, Number):
            made: Any = w.FloatSlider(
                value=value, min=chosen.low, max=chosen.high, step=chosen.step, readout=False, **look
            )
        elif isinstance(chosen, TimeOfDay):
            made = w.SelectionSlider(options=chosen.times, value=value, readout=False, **look)
        else:
            made = w.Dropdown(options=[(words, key) for key, words in chosen.options], value=value, **look)
        made.add_class("simkit-above")
        made.observe(partial(self._moved, name), "value")
        self.sliders[name] = made
        row = [made]
        if isinstance(chosen, Number | TimeOfDay):
            box = w.Text(continuous_update=False, tooltip=chosen.label, layout=w.Layout(width="64px"))
            box.observe(partial(self._moved, name), "value")
            self.boxes[name] = box
            row.append(box)
        return w.VBox([w.HBox(row, layout=w.Layout(align_items="flex-end")), self.hints[name]])

    def _foot(self) -> Any:
        self.file = w.Text(value=FILE, description="Case file", continuous_update=False, layout=w.Layout(width="300px"))
        self.file.add_class("simkit-name")
        self.said = w.HTML()
        write, reset = _button("Write case file", self._write, main=True), _button("Reset all", self.trial.reset)
        self.csv = w.Textarea(layout=w.Layout(width="100%", height="140px", display="none"), tooltip="Table as CSV")
        self.show_csv = w.ToggleButton(value=False, description="Show as CSV", layout=w.Layout(width="auto"))
        self.show_csv.add_class("simkit-plain")
        self.show_csv.observe(self._toggle_csv, "value")
        row = w.HBox([reset, self.show_csv, self.file, write, self.said], layout=w.Layout(align_items="center"))
        return w.VBox([row, self.csv])

    def _moved(self, name: str, change: Any) -> None:
        if self._quiet:
            return
        self.trial.set(name, change["new"])
        if name in self.trial.problems:
            self._follow()

    def _write(self) -> None:
        written = self.trial.write(self.file.value)
        self.said.value = hint_html(written.sentence) if written.path else wrong_html(written.sentence)

    def _toggle_csv(self, _: Any) -> None:
        self.csv.layout.display = "" if self.show_csv.value else "none"
        self.csv.value = self.trial.csv()

    def _follow(self) -> None:
        """Draw the picture first, then say the same in words and figures."""
        trial = self.trial
        self.image.value = self._picture.png(trial.table())
        self._quiet = True
        try:
            for name in self.sliders:
                self._show(name)
        finally:
            self._quiet = False
        self.words.value = f"<p>{escape(trial.sentence)}</p>{trial.table_html()}"
        if self.show_csv.value:
            self.csv.value = trial.csv()

    def _show(self, name: str) -> None:
        trial, slider = self.trial, self.sliders[name]
        chosen, value = trial.fields[name], trial.values[name]
        slider.value = value
        unit = f" [{chosen.unit}]" if chosen.unit else ""
        slider.description = f"{chosen.label}{unit}"
        (slider.add_class if trial.differs(name) else slider.remove_class)("moved")
        problem = trial.problems.get(name, "")
        limits = chosen.limits if name in self.boxes else ""
        self.hints[name].value = wrong_html(problem) if problem else hint_html(limits)
        if name in self.boxes and not problem:
            self.boxes[name].value = chosen.words(value)


def _button(text: str, act: Any, *, main: bool = False) -> Any:
    made = w.Button(description=text, tooltip=text, layout=w.Layout(width="auto", flex="0 0 auto"))
    made.add_class("simkit-main" if main else "simkit-plain")
    made.on_click(lambda _: act())
    return made

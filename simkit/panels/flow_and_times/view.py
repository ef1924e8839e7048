"""Settings to try in; sliders, number boxes, one picture and one table that follow them out."""

from __future__ import annotations

from functools import partial
from html import escape
from typing import Any

import ipywidgets as w

from simkit.figures.decide.effect import setting_effect_sentence
from simkit.panels.debounce import Rest
from simkit.panels.fields import Choice, Number, TimeOfDay
from simkit.panels.flow_and_times.model import FILE, Trial
from simkit.panels.look import STYLE, hint_html, wrong_html
from simkit.panels.picture import Picture

WAITING = "Likely range: worked out when the slider rests."
WIDTH_PX = 851


class TrialView:
    """The widgets of settings to try.

    Attributes
    ----------
    widget
        What is displayed.
    sliders, boxes
        Slider or list of each setting, and the box beside it, by name.
    """

    def __init__(self, trial: Trial) -> None:
        self.trial = trial
        self._quiet = False
        self.sliders: dict[str, Any] = {}
        self.boxes: dict[str, Any] = {}
        self.resets: dict[str, Any] = {}
        self.hints = {name: w.HTML() for name in trial.fields}
        controls = [self._control(name) for name in trial.fields]
        grid = w.GridBox(
            controls, layout=w.Layout(grid_template_columns="repeat(2, minmax(0, 1fr))", grid_gap="2px 28px")
        )
        self.image = w.Image(format="png", width=WIDTH_PX)
        self.words, self.likely = w.HTML(), w.HTML()
        self.widget = w.VBox(
            [
                w.HTML(STYLE, layout=w.Layout(display="none")),
                grid,
                self.image,
                self.words,
                self.likely,
                self._foot(),
            ]
        )
        self.widget.add_class("simkit")
        self._names: tuple[str, ...] = ()
        self._rest = Rest(self._sharpen)
        trial.on_change(self._follow)
        self._follow()

    def _control(self, name: str) -> Any:
        chosen = self.trial.fields[name]
        slider = _slider(chosen, self.trial.values[name], {"layout": w.Layout(flex="1 1 0", min_width="0")})
        slider.add_class("simkit-above")
        slider.observe(partial(self._moved, name), "value")
        self.sliders[name] = slider
        parts = [slider]
        if not isinstance(chosen, Choice):
            box = w.Text(continuous_update=False, tooltip=chosen.label, layout=w.Layout(width="64px"))
            box.observe(partial(self._moved, name), "value")
            self.boxes[name] = box
            parts.append(box)
        reset = _button("Reset", partial(self.trial.reset, name), tooltip=f"Reset: {chosen.label}")
        self.resets[name] = reset
        return w.VBox([w.HBox([*parts, reset], layout=w.Layout(align_items="flex-end")), self.hints[name]])

    def _foot(self) -> Any:
        self.file = w.Text(value=FILE, description="Case file", continuous_update=False, layout=w.Layout(width="300px"))
        self.file.add_class("simkit-name")
        self.said = w.HTML()
        self.csv = w.Textarea(layout=w.Layout(width="100%", height="150px", display="none"), tooltip="Table as CSV")
        self.show_csv = w.ToggleButton(value=False, description="Show as CSV", layout=w.Layout(width="auto"))
        self.show_csv.add_class("simkit-plain")
        self.show_csv.observe(self._toggle_csv, "value")
        write = _button("Write case file", self._write, main=True)
        everything = _button("Reset all", self.trial.reset)
        row = [everything, self.show_csv, self.file, write, self.said]
        return w.VBox([w.HBox(row, layout=w.Layout(align_items="center", margin="6px 0 0 0")), self.csv])

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
        trial, effect = self.trial, self.trial.effect
        if effect.names != self._names:
            self._picture, self._names = Picture(effect), effect.names
        self.image.value = self._picture.png(effect)
        self._quiet = True
        try:
            for name in self.sliders:
                self._show(name)
        finally:
            self._quiet = False
        self.words.value = f"<p>{escape(setting_effect_sentence(effect))}</p>{trial.table_html()}"
        self.likely.value = hint_html(WAITING)
        self._rest.wish()

    def _show(self, name: str) -> None:
        trial, slider = self.trial, self.sliders[name]
        chosen, value = trial.fields[name], trial.values[name]
        _fit(slider, chosen, value)
        moved = trial.differs(name)
        self.resets[name].disabled = not moved
        unit = f" [{chosen.unit}]" if chosen.unit else ""
        before = f", case {chosen.words(trial.before[name])}" if moved else ""
        slider.description = f"{chosen.label}{unit}{before}"
        (slider.add_class if moved else slider.remove_class)("moved")
        if name in trial.problems:
            self.hints[name].value = wrong_html(trial.problems[name])
            return
        if name in self.boxes:
            self.boxes[name].value = chosen.words(value)
        self.hints[name].value = hint_html(trial.limits(name))

    def _sharpen(self) -> None:
        self.likely.value = hint_html(self.trial.likely())
        if self.show_csv.value:
            self.csv.value = self.trial.csv()


def _slider(chosen: Any, value: Any, look: dict[str, Any]) -> Any:
    """A slider for numbers and times of day, a list for what has no order."""
    if isinstance(chosen, Number):
        return w.FloatSlider(value=value, min=chosen.low, max=chosen.high, step=chosen.step, readout=False, **look)
    if isinstance(chosen, TimeOfDay):
        return w.SelectionSlider(options=chosen.times, value=value, readout=False, **look)
    return w.Dropdown(options=[(words, key) for key, words in chosen.options], value=value, **look)


def _fit(slider: Any, chosen: Any, value: Any) -> None:
    """Give a slider the limits and the value that hold now."""
    if isinstance(chosen, Number):
        if (slider.min, slider.max) != (chosen.low, chosen.high):
            slider.min, slider.max = min(chosen.low, slider.max), max(chosen.high, slider.min)
            slider.min, slider.max = chosen.low, chosen.high
    else:
        options = (
            chosen.times if isinstance(chosen, TimeOfDay) else tuple((words, key) for key, words in chosen.options)
        )
        if slider.options != options:
            slider.options = options
    slider.value = value


def _button(text: str, act: Any, *, tooltip: str = "", main: bool = False) -> Any:
    made = w.Button(description=text, tooltip=tooltip or text, layout=w.Layout(width="auto", flex="0 0 auto"))
    made.add_class("simkit-main" if main else "simkit-plain")
    made.on_click(lambda _: act())
    return made

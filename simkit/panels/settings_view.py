"""Settings in; sliders with number boxes, lists, a foot to write and to copy, and a screen that follows them, out."""

from __future__ import annotations

from functools import partial
from typing import Any, Generic, TypeVar

import ipywidgets as w

from simkit.answers.answer import Answer
from simkit.panels.debounce import Debounced
from simkit.panels.fields import Choice, Field, Number
from simkit.panels.look import STYLE, hint_html, wrong_html
from simkit.panels.settings import Settings
from simkit.reporting.on_page import picture_bytes, pieces_html

WAITING = "Likely range: worked out when you stop moving the slider."
ROW = w.Layout(align_items="flex-end")
WIDE = 851  # of a picture [px]

Model = TypeVar("Model", bound=Settings)


class SettingsView(Generic[Model]):
    """The widgets of a panel: one control for each setting, and whatever a panel shows of what they make.

    A panel says in `_parts` what stands where, and in `_picture` what is drawn after every change; `_settled` is done
    once nothing has changed for a while.

    Attributes
    ----------
    widget
        What is displayed.
    inputs, boxes
        Slider, list or text field of each setting, and the box beside a slider, by name.
    resets, hints
        Button that puts a setting back, and the line below it, by name.
    """

    def __init__(self, model: Model) -> None:
        self.model = model
        self._quiet = False
        self.inputs: dict[str, Any] = {}
        self.boxes: dict[str, Any] = {}
        self.resets: dict[str, Any] = {}
        self.hints = {name: w.HTML() for name in model.fields}
        self.rows = {name: self._row(name) for name in model.fields}
        self.words, self.likely, self.tables, self.cautions = w.HTML(), w.HTML(), w.HTML(), w.HTML()
        self.image = w.Image(format="png", width=WIDE)
        self.widget = w.VBox([w.HTML(STYLE, layout=w.Layout(display="none")), *self._parts()])
        self.widget.add_class("simkit")
        self._sharper = Debounced(self._settled)
        model.on_change(self._follow)
        self._follow()

    def _parts(self) -> list[Any]:
        """What stands on the screen, from the top down."""
        return [self._grid(), self.words, self.likely, self.image, self.tables, self.cautions, self._foot()]

    def _picture(self, answer: Answer) -> bytes | None:
        """The picture as it is drawn while a slider moves; None where it waits until none does."""
        return None

    def _draw(self) -> None:
        """Show what the settings come to: the picture first, then the words and the tables."""
        self._say(self.model.answer(), settled=False)

    def _settled(self) -> None:
        """Show what takes longer than a drag has time for: likely ranges, and what may hurt in the home as set."""
        self._say(self.model.answer(ranged=True), settled=True)
        self.likely.value = ""

    def _say(self, answer: Answer, *, settled: bool) -> None:
        drawn = self._picture(answer) or (picture_bytes(answer.pictures[0], "png") if settled else None)
        if drawn is not None:
            self.image.value = drawn
        self.words.value, self.tables.value = (pieces_html(answer, part) for part in ("sentences", "tables"))
        if settled:
            self.cautions.value = pieces_html(answer, "cautions")

    def _row(self, name: str) -> Any:
        """Slider or list, number box and reset of one setting, the hint below."""
        chosen = self.model.fields[name]
        self.inputs[name] = slider_for(chosen, self.model.values[name])
        parts = [self.inputs[name]]
        if not isinstance(chosen, Choice):
            box = w.Text(continuous_update=False, tooltip=chosen.label, layout=w.Layout(width="64px"))
            box.observe(partial(self._moved, name), "value")
            self.boxes[name] = box
            parts.append(box)
        self.resets[name] = button("Reset", partial(self.model.reset, name), tooltip=f"Reset: {chosen.label}")
        self.inputs[name].observe(partial(self._moved, name), "value")
        return w.VBox([w.HBox([*parts, self.resets[name]], layout=ROW), self.hints[name]])

    def _grid(self) -> Any:
        """Every setting, two beside each other."""
        layout = w.Layout(grid_template_columns="repeat(2, minmax(0, 1fr))", grid_gap="2px 28px")
        return w.GridBox(list(self.rows.values()), layout=layout)

    def _foot(self) -> Any:
        """Reset, the table to copy, and the case file."""
        name = w.Layout(width="300px")
        self.file = w.Text(value=self.model.file, description="Case file", continuous_update=False, layout=name)
        self.file.add_class("simkit-name")
        self.said = w.HTML()
        self.csv = w.Textarea(layout=w.Layout(width="100%", height="150px", display="none"), tooltip="Table as CSV")
        self.show_csv = w.ToggleButton(value=False, description="Show as CSV", layout=w.Layout(width="auto"))
        self.show_csv.add_class("simkit-plain")
        self.show_csv.observe(lambda _: self._show_csv(), "value")
        row = [button("Reset all", self.model.reset), self.show_csv, self.file]
        row += [button("Write case file", self._write, main=True), self.said]
        return w.VBox([w.HBox(row, layout=w.Layout(align_items="center", margin="6px 0 0 0")), self.csv])

    def _moved(self, name: str, change: Any) -> None:
        if not self._quiet:
            self.model.set(name, change["new"])

    def _write(self) -> None:
        written = self.model.write(self.file.value)
        self.said.value = hint_html(written.sentence) if written.path else wrong_html(written.sentence)

    def _show_csv(self) -> None:
        self.csv.layout.display = "" if self.show_csv.value else "none"
        self.csv.value = self.model.csv() if self.show_csv.value else ""

    def _follow(self) -> None:
        """Draw first, then put the controls where the model has them; what takes longer waits."""
        self._draw()
        self._quiet = True
        try:
            for name in self.inputs:
                self._show(name)
        finally:
            self._quiet = False
        self._show_csv()
        self.likely.value = hint_html(WAITING)
        self._sharper.call()

    def _show(self, name: str) -> None:
        """Show one setting: limits, value, what it was in the case, what is wrong with it."""
        model, made = self.model, self.inputs[name]
        chosen, problem = model.fields[name], model.problems.get(name, "")
        fit(made, chosen, model.text(name) if isinstance(made, w.Text) else model.values[name])
        moved = model.differs(name) or name in model.typed
        before = f", case {chosen.words(model.first[name])}" if moved and name in self.boxes else ""
        unit = f" [{model.unit(name)}]" if model.unit(name) else ""
        made.description = f"{model.label(name)}{unit}{before}"
        (made.add_class if moved else made.remove_class)("moved")
        if name in self.resets:
            self.resets[name].disabled = not moved
        if name in self.boxes:
            self.boxes[name].value = model.text(name)
        limits = model.limits(name) if name in self.boxes else ""  # a list shows its choices itself
        self.hints[name].value = wrong_html(problem) if problem else hint_html(limits)


def slider_for(chosen: Field, value: Any) -> Any:
    """A slider for numbers and times of day, a list for what has no order."""
    look: dict[str, Any] = {"value": value, "layout": w.Layout(flex="1 1 0", min_width="0")}
    if isinstance(chosen, Number):
        made: Any = w.FloatSlider(min=chosen.low, max=chosen.high, step=chosen.step, readout=False, **look)
    elif isinstance(chosen, Choice):
        made = w.Dropdown(options=chosen.listed, **look)
    else:
        made = w.SelectionSlider(options=chosen.listed, readout=False, **look)
    made.add_class("simkit-above")
    return made


def fit(made: Any, chosen: Field, value: Any) -> None:
    """Give a slider, list or text field the limits and the value that hold now."""
    if isinstance(made, w.FloatSlider):
        assert isinstance(chosen, Number)
        if (made.min, made.max) != (chosen.low, chosen.high):
            made.min, made.max = min(chosen.low, made.max), max(chosen.high, made.min)
            made.min, made.max = chosen.low, chosen.high
    elif not isinstance(made, w.Text):
        assert not isinstance(chosen, Number)
        if made.options != chosen.listed:
            made.options = chosen.listed
    made.value = value


def button(text: str, act: Any, *, tooltip: str = "", main: bool = False) -> Any:
    """A button that does something."""
    made = w.Button(description=text, tooltip=tooltip or text, layout=w.Layout(width="auto", flex="0 0 auto"))
    made.add_class("simkit-main" if main else "simkit-plain")
    made.on_click(lambda _: act())
    return made

"""A home form in, its widgets out: labels, fields and sentences only; whatever they mean is the form's affair."""

from __future__ import annotations

from functools import partial
from typing import Any

import ipywidgets as w

from simkit.panels.debounce import Rest
from simkit.panels.fields import Choice
from simkit.panels.form.fields import GROUPS
from simkit.panels.form.form import FILE, HomeForm
from simkit.panels.look import STYLE, answer_html, hint_html, wrong_html

NUMBER_LABEL, CHOICE_LABEL = "212px", "116px"
WAITING = "likely range: being worked out"
MEND = "of the home as it was before: mend what is marked below"


class FormView:
    """The widgets of a home form.

    Attributes
    ----------
    widget
        What is displayed.
    inputs
        The input of each field by its name.
    """

    def __init__(self, form: HomeForm) -> None:
        self.form = form
        self._quiet = False
        self.inputs = {name: self._input(name) for names in GROUPS.values() for name in names}
        self.problems = {name: w.HTML() for name in self.inputs}
        self.rows = {name: w.VBox([self.inputs[name], self.problems[name]]) for name in self.inputs}
        self.answer, self.table, self.trouble = w.HTML(), w.HTML(), w.HTML()
        self.file = w.Text(value=FILE, description="Case file", continuous_update=False, layout=_wide("330px"))
        self.file.add_class("simkit-name")
        self.said = w.HTML()
        self.widget = w.VBox(
            [w.HTML(STYLE, layout=w.Layout(display="none")), self._top(), self._groups(), self._foot()]
        )
        self.widget.add_class("simkit")
        self._rest = Rest(self._sharpen)
        form.on_change(self._follow)
        self._follow()

    def _input(self, name: str) -> Any:
        chosen = self.form.fields[name]
        width = CHOICE_LABEL if isinstance(chosen, Choice) else NUMBER_LABEL
        look: dict[str, Any] = {"style": {"description_width": width}, "layout": _wide("calc(100% - 4px)")}
        if isinstance(chosen, Choice):
            made: Any = w.Dropdown(options=_options(chosen), value=self.form.values[name], **look)
        else:
            made = w.Text(value=self.form.text(name), continuous_update=False, **look)
        made.observe(partial(self._typed, name), "value")
        return made

    def _top(self) -> Any:
        return w.VBox([self.answer, self.trouble, self.table], layout=w.Layout(margin="0 0 10px 0"))

    def _groups(self) -> Any:
        columns = []
        for title, names in GROUPS.items():
            reset = _button("Reset", partial(self._reset, *names), tooltip=f"Put back: {title}")
            head = w.HBox([w.HTML(f"<h3>{title}</h3>"), reset], layout=w.Layout(justify_content="space-between"))
            rows = [self.rows[name] for name in names]
            columns.append(w.VBox([head, *rows]))
        thirds = w.Layout(grid_template_columns="repeat(3, minmax(0, 1fr))", grid_gap="0 28px")
        return w.GridBox(columns, layout=thirds)

    def _foot(self) -> Any:
        write = _button("Write case file", self._write, main=True)
        everything = _button("Reset all", partial(self._reset))
        return w.HBox(
            [self.file, write, everything, self.said], layout=w.Layout(align_items="center", margin="8px 0 0 0")
        )

    def _typed(self, name: str, change: Any) -> None:
        if not self._quiet:
            self.answer.add_class("simkit-busy")
            self.form.set(name, change["new"])

    def _reset(self, *names: str) -> None:
        self.form.reset(*names)

    def _write(self) -> None:
        written = self.form.write(self.file.value)
        self.said.value = hint_html(written.sentence) if written.path else wrong_html(written.sentence)

    def _follow(self) -> None:
        """Show what the form holds now."""
        self._quiet = True
        try:
            for name in self.inputs:
                self._show(name)
        finally:
            self._quiet = False
        self.trouble.value = wrong_html(" ".join(self.form.trouble))
        self._show_answer()
        self._rest.wish()

    def _show(self, name: str) -> None:
        form, made = self.form, self.inputs[name]
        chosen = form.fields[name]
        unit = f" [{form.unit(name)}]" if form.unit(name) else ""
        made.description = f"{form.label(name)}{unit}"
        made.tooltip = chosen.limits
        if isinstance(chosen, Choice):
            if made.options != _options(chosen):
                made.options = _options(chosen)
            made.value = form.values[name]
        else:
            made.value = form.text(name)
        (made.add_class if form.differs(name) else made.remove_class)("moved")
        self.problems[name].value = wrong_html(form.problems.get(name, ""))
        self.problems[name].layout.display = "" if name in form.problems else "none"
        self.rows[name].layout.display = "" if form.shown(name) else "none"

    def _show_answer(self) -> None:
        answer = self.form.answer
        self.answer.remove_class("simkit-busy")
        likely = (answer.likely or WAITING) if self.form.good else MEND
        self.answer.value = answer_html(answer.headline, likely, answer.verdicts)
        self.table.value = answer.table_html()

    def _sharpen(self) -> None:
        if self.form.good and not self.form.answer.ranged:
            self.form.sharpen()
            self._show_answer()


def _options(chosen: Choice) -> tuple[tuple[str, str], ...]:
    return tuple((words, value) for value, words in chosen.options)


def _wide(width: str) -> Any:
    return w.Layout(width=width)


def _button(text: str, act: Any, *, tooltip: str = "", main: bool = False) -> Any:
    made = w.Button(description=text, tooltip=tooltip or text, layout=w.Layout(width="auto", flex="0 0 auto"))
    made.add_class("simkit-main" if main else "simkit-plain")
    made.on_click(lambda _: act())
    return made

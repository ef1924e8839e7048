"""A home form in, its widgets out: labels, fields and sentences only; whatever they mean is the form's affair."""

from __future__ import annotations

from functools import partial
from typing import Any

import ipywidgets as w

from simkit.panels.fields import Choice
from simkit.panels.form.fields import GROUPS
from simkit.panels.form.form import HomeForm
from simkit.panels.look import hint_html, wrong_html
from simkit.panels.settings_view import SettingsView, button

NUMBER_LABEL, CHOICE_LABEL = "212px", "116px"
MEND = "This is of the home as it was before: mend what is marked below."


class FormView(SettingsView[HomeForm]):
    """The widgets of a home form."""

    def _row(self, name: str) -> Any:
        """Label and field in one line, what is wrong below."""
        chosen = self.model.fields[name]
        width = CHOICE_LABEL if isinstance(chosen, Choice) else NUMBER_LABEL
        look: dict[str, Any] = {
            "style": {"description_width": width}, "layout": w.Layout(width="calc(100% - 4px)"),
        }  # fmt: skip
        if isinstance(chosen, Choice):
            made: Any = w.Dropdown(options=chosen.listed, value=self.model.values[name], **look)
        else:
            made = w.Text(value=self.model.text(name), continuous_update=False, **look)
        made.observe(partial(self._moved, name), "value")
        self.inputs[name] = made
        return w.VBox([made, self.hints[name]])

    def _parts(self) -> list[Any]:
        self.trouble = w.HTML()
        top = w.VBox([self.words, self.likely, self.trouble, self.image, self.tables])
        columns = []
        for title, names in GROUPS.items():
            reset = button("Reset", partial(self.model.reset, *names), tooltip=f"Reset: {title}")
            head = w.HBox([w.HTML(f"<h3>{title}</h3>"), reset], layout=w.Layout(justify_content="space-between"))
            columns.append(w.VBox([head, *(self.rows[name] for name in names)]))
        thirds = w.Layout(grid_template_columns="repeat(3, minmax(0, 1fr))", grid_gap="0 28px")
        return [top, w.GridBox(columns, layout=thirds), self.cautions, self._foot()]

    def _moved(self, name: str, change: Any) -> None:
        if not self._quiet:
            self.words.add_class("simkit-busy")
        super()._moved(name, change)

    def _draw(self) -> None:
        self.trouble.value = wrong_html(" ".join(self.model.trouble))
        self.words.remove_class("simkit-busy")
        super()._draw()

    def _settled(self) -> None:
        super()._settled()
        self.likely.value = "" if self.model.good else hint_html(MEND)

    def _show(self, name: str) -> None:
        super()._show(name)
        problem = self.model.problems.get(name, "")
        self.inputs[name].tooltip = self.model.limits(name)
        self.hints[name].value = wrong_html(problem)
        self.hints[name].layout.display = "" if problem else "none"
        self.rows[name].layout.display = "" if self.model.shown(name) else "none"

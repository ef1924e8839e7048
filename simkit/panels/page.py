"""A case in; one page with a tab for each question, each a live panel, out: for a browser, without code.

A panel is made when its tab is opened, so that the first picture waits for nothing else. All of them are about the home
of the form in the first tab: when that changes, the others follow.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from html import escape
from pathlib import Path
from typing import Any

import ipywidgets

from simkit.case.case import Case
from simkit.case.load import read_case
from simkit.errors import SimkitError
from simkit.panels.flow.model import FlowTrial
from simkit.panels.form.bare import invented
from simkit.panels.form.form import HomeForm
from simkit.panels.money.model import MoneyTrial
from simkit.panels.my_case import NEEDS, Found, found_case
from simkit.panels.power.model import PowerTrial
from simkit.panels.readings.model import ReadingsTrial
from simkit.panels.settings import Settings
from simkit.panels.tariffs.model import TariffTrial
from simkit.reporting.on_page import style_of_notebooks

LOOK = Path(__file__).parent / "page.css"
WAITING = "Working this out …"


@dataclass(frozen=True)
class Question:
    """A tab: its question, its panel for a form or for a case, and what the case must have."""

    words: str
    panel: Callable[[HomeForm, Case, Path], Settings]
    needs: tuple[str, ...] = ()
    follows: bool = True


QUESTIONS = (
    Question("What does it cost?", lambda form, _, __: form),
    Question("Which flow temperature?", lambda form, _, folder: FlowTrial(form, folder)),
    Question("Which hours, which tariff?", lambda form, _, folder: TariffTrial(form, folder=folder)),
    Question("Panels and a battery?", lambda form, _, folder: PowerTrial(form, folder)),
    Question(
        "What do my readings say?", lambda _, case, folder: ReadingsTrial(case, folder), ("readings",), follows=False
    ),
    Question("Is it worth it?", lambda _, case, folder: MoneyTrial(case, folder), ("offers",), follows=False),
)  # in the order in which they are asked


class Page:
    """Tabs of plain questions on one home.

    Parameters
    ----------
    found
        The home, and the line that says which it is.
    folder
        Where files are read and written.

    Attributes
    ----------
    tabs
        The widget of the tabs.
    panels
        Models of the tabs that were opened, by their question.
    """

    def __init__(self, found: Found, folder: Path) -> None:
        self.folder, self.case = folder, found.case
        self.form = HomeForm(found.case, folder)
        self.panels: dict[str, Settings] = {}
        self._made_for: dict[str, Case] = {}
        boxes = [ipywidgets.VBox([_line(WAITING)]) for _ in QUESTIONS]
        self.tabs: Any = ipywidgets.Tab(boxes, titles=[question.words for question in QUESTIONS])
        self.widget = ipywidgets.VBox([ipywidgets.HTML(_head(found)), self.tabs])
        self.widget.add_class("simkit-page")
        self.tabs.observe(lambda change: self.open(int(change["new"])), "selected_index")
        self.open(0)

    def open(self, place: int) -> None:
        """Make the panel of a tab, or make it anew where the form has changed what it can't follow."""
        question, now = QUESTIONS[place], self.form.case
        if question.words in self.panels and (question.follows or self._made_for[question.words] == now):
            return
        try:
            shown = self._made(question, now)
        except SimkitError as error:
            shown = [_line(" ".join(map(str, error.faults)), wrong=True)]
        self.tabs.children[place].children = shown

    def _made(self, question: Question, now: Case) -> list[Any]:
        """The panel of a question, below a line where another home is shown meanwhile."""
        found = self._home_for(question, now)
        panel = question.panel(self.form, found.case, self.folder)
        self.panels[question.words], self._made_for[question.words] = panel, now
        asked = ipywidgets.HTML(f'<h2 class="simkit-line">{escape(question.words)}</h2>')
        return [asked, *([_line(found.line, wrong=found.wrong)] if found.line else []), panel.view]

    def _home_for(self, question: Question, now: Case) -> Found:
        """The home of the form; where it lacks what is asked, that of the file, or a sample and a line on it."""
        for case in (now, self.case):
            if not question.needs or (not invented(case) and all(NEEDS[need].there(case) for need in question.needs)):
                return Found(case, "" if case is now else f'This is of "{case.name}", as its file says.')
        return found_case(question.needs, self.folder)


def page(case: str | Path | None = None, folder: str | Path = ".") -> Any:
    """Make the page: a widget.

    Parameters
    ----------
    case
        A case file; None takes ``my_home.toml`` of the folder, or a sample home.
    folder
        Where files are read and written.

    Returns
    -------
    ipywidgets.VBox
        What a page without code shows.
    """
    place = Path(folder)
    if case is None:
        return Page(found_case((), place, form=True), place).widget
    home = read_case(case)
    return Page(Found(home, f'"{home.name}", from {Path(case).name}.'), place).widget


def _head(found: Found) -> str:
    """Name of the home, and which it is."""
    look = f"<style>{style_of_notebooks()}{LOOK.read_text(encoding='utf-8')}</style>"
    line = f'<p class="second{" wrong" if found.wrong else ""}">{escape(found.line)}</p>'
    return f'{look}<header class="simkit-answer"><h1>{escape(found.case.name)}</h1>{line}</header>'


def _line(words: str, *, wrong: bool = False) -> ipywidgets.HTML:
    return ipywidgets.HTML(f'<p class="simkit-line{" wrong" if wrong else ""}" role="status">{escape(words)}</p>')

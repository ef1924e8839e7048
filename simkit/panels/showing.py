"""A panel's model in; it stands in a notebook as a live panel, with a still copy below that outlives it.

A saved or exported notebook holds no live widget. So a second output holds the picture, the table and a line that says
what it is; it hides while the panel is there, and is written anew whenever the panel comes to rest.
"""

from __future__ import annotations

from importlib.util import find_spec
from typing import TYPE_CHECKING, Any

from simkit.answers.answer import Answer
from simkit.reporting.on_page import answer_html

if TYPE_CHECKING:
    from simkit.panels.settings import Settings

STILL = "A static copy of a panel, with {told}. Run the notebook to move it."
LIVE = "A panel to move stands here while the notebook is run."
BARE = "Without anywidget nothing here can be moved: change it with set(name, value) and show it again."
VIEW = "application/vnd.jupyter.widget-view+json"


def show(model: Settings) -> None:
    """Show a panel as the result of a cell, or its answer where widgets are not installed."""
    from IPython.display import display

    still: dict[str, Any] = {"text/plain": repr(model), "text/html": still_html(model, model.answer())}
    still |= model.record()
    if find_spec("anywidget") is None:
        display({"text/plain": BARE}, raw=True)
        display(still, raw=True)
        return
    live = model.view._repr_mimebundle_()
    display({**(live[0] if isinstance(live, tuple) else live or {}), "text/plain": LIVE}, raw=True)
    handle: Any = display(still, raw=True, display_id=True)
    if handle is not None:
        model.on_settled(lambda answer: handle.update(_bundle(model, answer), raw=True))


def _bundle(model: Settings, answer: Answer) -> dict[str, Any]:
    return {"text/plain": repr(answer), "text/html": still_html(model, answer), **model.record()}


def still_html(model: Settings, answer: Answer) -> str:
    """The still copy of a panel: what it was set to, its answer, its picture and its tables."""
    return answer_html(answer, static=STILL.format(told=model.told() or "nothing moved"))

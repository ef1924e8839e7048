"""A panel's model in; its live view on the screen out, or, where there are no widgets, the same as text and figures."""

from __future__ import annotations

from importlib.util import find_spec
from typing import Any

from simkit.panels.form import HomeForm
from simkit.panels.trying import Trial

BARE = "Without ipywidgets nothing here can be moved: change it with set(name, value) and show it again."


def show(model: HomeForm | Trial) -> Any:
    """Show a panel in a notebook.

    Parameters
    ----------
    model
        A `HomeForm` or a `Trial`.

    Returns
    -------
    widget or None
        A widget, displayed as the last value of a cell; where ipywidgets is not installed the answer is printed.
    """
    if find_spec("ipywidgets") is None:
        print(model, BARE, sep="\n")
        return None
    if isinstance(model, HomeForm):
        from simkit.panels.form_view import FormView

        return FormView(model).widget
    from simkit.panels.trying_view import TrialView

    return TrialView(model).widget

"""A panel's model in; its live view out, or, where there are no widgets, the model as text and table."""

from __future__ import annotations

from importlib import import_module
from importlib.util import find_spec
from typing import Any

from simkit.panels.settings import Settings

BARE = "Without ipywidgets nothing here can be moved: change it with set(name, value) and show it again."


def show(model: Settings) -> Any:
    """Show a panel in a notebook.

    Parameters
    ----------
    model
        A `HomeForm`, a `Trial`, a `RoomTrial` or a `TariffTrial`.

    Returns
    -------
    widget or model
        A widget, displayed as the last value of a cell; where ipywidgets is not installed the model, which shows its
        answer as text and table.
    """
    if find_spec("ipywidgets") is None:
        print(BARE)
        return model
    module, name = model.view
    return getattr(import_module(module), name)(model).widget

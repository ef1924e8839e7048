"""A panel's model in; its live view out, or, where there are no widgets, the model as text and table."""

from __future__ import annotations

from importlib.util import find_spec
from typing import Any

from simkit.panels.flow_and_times.model import Trial
from simkit.panels.form.form import HomeForm
from simkit.panels.rooms.model import RoomTrial
from simkit.panels.tariffs.model import TariffTrial

BARE = "Without ipywidgets nothing here can be moved: change it with set(name, value) and show it again."


def show(model: HomeForm | Trial | RoomTrial | TariffTrial) -> Any:
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
    if isinstance(model, HomeForm):
        from simkit.panels.form.view import FormView

        return FormView(model).widget
    if isinstance(model, RoomTrial):
        from simkit.panels.rooms.view import RoomTrialView

        return RoomTrialView(model).widget
    if isinstance(model, TariffTrial):
        from simkit.panels.tariffs.view import TariffTrialView

        return TariffTrialView(model).widget
    from simkit.panels.flow_and_times.view import TrialView

    return TrialView(model).widget

"""Cases in, live panels out: models that know no widgets, and thin views that are loaded when one is shown."""

from simkit.panels.form import HomeForm
from simkit.panels.room_trial import RoomTrial
from simkit.panels.showing import show
from simkit.panels.tariff_trial import TariffTrial
from simkit.panels.trying import Trial

__all__ = ["HomeForm", "RoomTrial", "TariffTrial", "Trial", "show"]

"""Cases in, live panels out: models that know no widgets, and thin views that are loaded when one is shown."""

from simkit.panels.flow_and_times.model import Trial
from simkit.panels.form.form import HomeForm
from simkit.panels.rooms.model import RoomTrial
from simkit.panels.showing import show
from simkit.panels.tariffs.model import TariffTrial

__all__ = ["HomeForm", "RoomTrial", "TariffTrial", "Trial", "show"]

from .flow_and_times.model import Trial as Trial
from .form.form import HomeForm as HomeForm
from .rooms.model import RoomTrial as RoomTrial
from .showing import show as show
from .tariffs.model import TariffTrial as TariffTrial

from . import figures as figures
from . import panels as panels
from . import types as types
from .answers.report.report import report as report
from .billing.check import check_bill as check_bill
from .case.build import vary as vary
from .case.load import read_case as read_case
from .case.load import write_case as write_case
from .decide.battery.worth import battery_worth as battery_worth
from .decide.flow.sweep import sweep_flow as sweep_flow
from .decide.measures.ladder import rank_measures as rank_measures
from .decide.optimum.optimum import optimum as optimum
from .decide.schedule.search import best_schedule as best_schedule
from .decide.tariff.ranking import rank_tariffs as rank_tariffs
from .explaining.explain import explain as explain
from .finance.beside import offers as offers
from .finance.difference import difference as difference
from .finance.risk import prospects as prospects
from .finance.worth import worth as worth
from .meter.account.before_after import change as change
from .meter.fitting.fitting import fit as fit
from .meter.fitting.projection import project as project
from .meter.reading.reading import read_meter as read_meter
from .sharing.share import share as share
from .year.compare import compare as compare
from .year.simulate import simulate as simulate

__version__: str

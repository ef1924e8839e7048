"""Hour-by-hour running cost of a home heated by an air-to-water heat pump.

The public names, in the order in which data flows; each is loaded when it is first used.
"""

from __future__ import annotations

from importlib import import_module
from importlib.metadata import version as _version
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from simkit.billing.check import check_bill as check_bill
    from simkit.case.build import Case as Case
    from simkit.case.build import vary as vary
    from simkit.case.json_schema import case_schema as case_schema
    from simkit.case.load import read_case as read_case
    from simkit.case.load import write_case as write_case
    from simkit.decide.battery.size import saving_by_size as saving_by_size
    from simkit.decide.battery.size import saving_range as saving_range
    from simkit.decide.battery.size import worst_day as worst_day
    from simkit.decide.battery.together import foresight_table as foresight_table
    from simkit.decide.battery.together import interaction_sentence as interaction_sentence
    from simkit.decide.battery.together import interaction_table as interaction_table
    from simkit.decide.battery.together import interaction_years as interaction_years
    from simkit.decide.flow.emitters import emitter_ladder as emitter_ladder
    from simkit.decide.flow.sweep import flow_sweep as flow_sweep
    from simkit.decide.flow.worth import flow_worth as flow_worth
    from simkit.decide.measures.ladder import Ladder as Ladder
    from simkit.decide.measures.ladder import rank_measures as rank_measures
    from simkit.decide.optimum.optimum import optimum as optimum
    from simkit.decide.schedule.search import best_schedule as best_schedule
    from simkit.decide.schedule.setback import verdict_sentence as verdict_sentence
    from simkit.decide.schedule.setback import verdict_table as verdict_table
    from simkit.decide.schedule.setback import verdict_years as verdict_years
    from simkit.decide.schedule.settings_sheet import settings_sheet as settings_sheet
    from simkit.decide.tariff.day_ahead import day_ahead as day_ahead
    from simkit.decide.tariff.ranking import TariffRanking as TariffRanking
    from simkit.decide.tariff.ranking import rank_tariffs as rank_tariffs
    from simkit.decide.tariff.shifting import Shifting as Shifting
    from simkit.errors import CaseError as CaseError
    from simkit.errors import DataError as DataError
    from simkit.errors import SimkitError as SimkitError
    from simkit.finance.breakeven import break_even as break_even
    from simkit.finance.leaving_fuel import leaving_fuel as leaving_fuel
    from simkit.finance.offers import offer_pair as offer_pair
    from simkit.finance.risk import Prospects as Prospects
    from simkit.finance.risk import prospects as prospects
    from simkit.finance.risk import regret as regret
    from simkit.finance.sensitivity import deciding as deciding
    from simkit.finance.worth import Worth as Worth
    from simkit.finance.worth import worth as worth
    from simkit.meter.account.signature import energy_signature as energy_signature
    from simkit.meter.fitting.fitted import Fit as Fit
    from simkit.meter.fitting.fitting import fit as fit
    from simkit.meter.fitting.projection import Projection as Projection
    from simkit.meter.fitting.projection import project as project
    from simkit.meter.reading.reading import Readings as Readings
    from simkit.meter.reading.reading import read_meter as read_meter
    from simkit.performance.en14825 import standard_season as standard_season
    from simkit.performance.measured import Measured as Measured
    from simkit.performance.measured import spf_at_h4 as spf_at_h4
    from simkit.tariff.tariff import Tariff as Tariff
    from simkit.tariff.tariff import read_tariff as read_tariff
    from simkit.tariff.typed_bill import read_bill as read_bill
    from simkit.tariff.typed_bill import typed_bill as typed_bill
    from simkit.uncertainty.ranges import Range as Range
    from simkit.year.compare import Comparison as Comparison
    from simkit.year.compare import compare as compare
    from simkit.year.simulate import simulate as simulate
    from simkit.year.year import Year as Year

_PLACES = {
    "read_case": "simkit.case.load",
    "write_case": "simkit.case.load",
    "vary": "simkit.case.build",
    "Case": "simkit.case.build",
    "case_schema": "simkit.case.json_schema",
    "read_tariff": "simkit.tariff.tariff",
    "Tariff": "simkit.tariff.tariff",
    "simulate": "simkit.year.simulate",
    "Year": "simkit.year.year",
    "Range": "simkit.uncertainty.ranges",
    "compare": "simkit.year.compare",
    "Comparison": "simkit.year.compare",
    "standard_season": "simkit.performance.en14825",
    "Measured": "simkit.performance.measured",
    "spf_at_h4": "simkit.performance.measured",
    "best_schedule": "simkit.decide.schedule.search",
    "settings_sheet": "simkit.decide.schedule.settings_sheet",
    "optimum": "simkit.decide.optimum.optimum",
    "saving_by_size": "simkit.decide.battery.size",
    "saving_range": "simkit.decide.battery.size",
    "foresight_table": "simkit.decide.battery.together",
    "interaction_sentence": "simkit.decide.battery.together",
    "verdict_years": "simkit.decide.schedule.setback",
    "verdict_table": "simkit.decide.schedule.setback",
    "verdict_sentence": "simkit.decide.schedule.setback",
    "worst_day": "simkit.decide.battery.size",
    "interaction_years": "simkit.decide.battery.together",
    "interaction_table": "simkit.decide.battery.together",
    "flow_sweep": "simkit.decide.flow.sweep",
    "flow_worth": "simkit.decide.flow.worth",
    "emitter_ladder": "simkit.decide.flow.emitters",
    "worth": "simkit.finance.worth",
    "Worth": "simkit.finance.worth",
    "break_even": "simkit.finance.breakeven",
    "prospects": "simkit.finance.risk",
    "Prospects": "simkit.finance.risk",
    "regret": "simkit.finance.risk",
    "offer_pair": "simkit.finance.offers",
    "deciding": "simkit.finance.sensitivity",
    "rank_tariffs": "simkit.decide.tariff.ranking",
    "Shifting": "simkit.decide.tariff.shifting",
    "day_ahead": "simkit.decide.tariff.day_ahead",
    "leaving_fuel": "simkit.finance.leaving_fuel",
    "read_bill": "simkit.tariff.typed_bill",
    "typed_bill": "simkit.tariff.typed_bill",
    "check_bill": "simkit.billing.check",
    "TariffRanking": "simkit.decide.tariff.ranking",
    "rank_measures": "simkit.decide.measures.ladder",
    "Ladder": "simkit.decide.measures.ladder",
    "read_meter": "simkit.meter.reading.reading",
    "Readings": "simkit.meter.reading.reading",
    "fit": "simkit.meter.fitting.fitting",
    "Fit": "simkit.meter.fitting.fitted",
    "project": "simkit.meter.fitting.projection",
    "Projection": "simkit.meter.fitting.projection",
    "energy_signature": "simkit.meter.account.signature",
    "SimkitError": "simkit.errors",
    "CaseError": "simkit.errors",
    "DataError": "simkit.errors",
}
_PACKAGES = ("figures", "panels")

__all__ = [*_PLACES, *_PACKAGES]  # noqa: PLE0604 - names are those of the table above
__version__ = _version("home-heat-simkit")


def __getattr__(name: str) -> Any:
    """Load a public name on first use."""
    if name in _PACKAGES:
        return import_module(f"simkit.{name}")
    if name in _PLACES:
        value = getattr(import_module(_PLACES[name]), name)
        globals()[name] = value
        return value
    raise AttributeError(f"module 'simkit' has no attribute {name!r}")


def __dir__() -> list[str]:
    """List the public names."""
    return sorted(__all__)

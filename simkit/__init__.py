"""Hour-by-hour running cost of a home heated by an air-to-water heat pump.

The public names, in the order in which data flows; each is loaded when it is first used.
"""

from __future__ import annotations

from importlib import import_module
from importlib.metadata import version as _version
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from simkit.bill_check import check_bill as check_bill
    from simkit.case.case import Case as Case
    from simkit.case.case import vary as vary
    from simkit.case.load import read_case as read_case
    from simkit.case.load import write_case as write_case
    from simkit.case.schema import case_schema as case_schema
    from simkit.case.tariff import Tariff as Tariff
    from simkit.case.tariff import read_tariff as read_tariff
    from simkit.case.typed_bill import read_bill as read_bill
    from simkit.case.typed_bill import typed_bill as typed_bill
    from simkit.comparison import Comparison as Comparison
    from simkit.comparison import compare as compare
    from simkit.cycling import cycling_of as cycling_of
    from simkit.daily_cost import daily_cost as daily_cost
    from simkit.decide.curve import flow_worth as flow_worth
    from simkit.decide.day_ahead import day_ahead as day_ahead
    from simkit.decide.emitters import emitter_ladder as emitter_ladder
    from simkit.decide.flow import flow_sweep as flow_sweep
    from simkit.decide.interaction import foresight_table as foresight_table
    from simkit.decide.interaction import interaction_sentence as interaction_sentence
    from simkit.decide.interaction import interaction_table as interaction_table
    from simkit.decide.interaction import interaction_years as interaction_years
    from simkit.decide.measures import Ladder as Ladder
    from simkit.decide.measures import rank_measures as rank_measures
    from simkit.decide.optimum import optimum as optimum
    from simkit.decide.schedules import best_schedule as best_schedule
    from simkit.decide.settings_sheet import settings_sheet as settings_sheet
    from simkit.decide.shifting import Shifting as Shifting
    from simkit.decide.sources import source_use as source_use
    from simkit.decide.storage import saving_by_size as saving_by_size
    from simkit.decide.storage import saving_range as saving_range
    from simkit.decide.storage import worst_day as worst_day
    from simkit.decide.tariffs import TariffRanking as TariffRanking
    from simkit.decide.tariffs import rank_tariffs as rank_tariffs
    from simkit.decide.verdict import verdict_sentence as verdict_sentence
    from simkit.decide.verdict import verdict_table as verdict_table
    from simkit.decide.verdict import verdict_years as verdict_years
    from simkit.errors import CaseError as CaseError
    from simkit.errors import DataError as DataError
    from simkit.errors import SimkitError as SimkitError
    from simkit.finance.breakeven import break_even as break_even
    from simkit.finance.leaving_fuel import leaving_fuel as leaving_fuel
    from simkit.finance.money import Worth as Worth
    from simkit.finance.money import worth as worth
    from simkit.finance.offers import offer_pair as offer_pair
    from simkit.finance.risk import Prospects as Prospects
    from simkit.finance.risk import prospects as prospects
    from simkit.finance.risk import regret as regret
    from simkit.finance.sensitivity import deciding as deciding
    from simkit.load_split import load_by_band as load_by_band
    from simkit.meter.fitted import Fit as Fit
    from simkit.meter.fitting import fit as fit
    from simkit.meter.projection import Projection as Projection
    from simkit.meter.projection import project as project
    from simkit.meter.reading import Readings as Readings
    from simkit.meter.reading import read_meter as read_meter
    from simkit.meter.signature import energy_signature as energy_signature
    from simkit.rooms import rooms_of as rooms_of
    from simkit.seasonal import seasonal_table as seasonal_table
    from simkit.standard import standard_season as standard_season
    from simkit.translate_spf import Measured as Measured
    from simkit.translate_spf import put_at_h4 as put_at_h4
    from simkit.year import Range as Range
    from simkit.year import Year as Year
    from simkit.year import simulate as simulate

_PLACES = {
    "read_case": "simkit.case.load",
    "write_case": "simkit.case.load",
    "vary": "simkit.case.case",
    "Case": "simkit.case.case",
    "case_schema": "simkit.case.schema",
    "read_tariff": "simkit.case.tariff",
    "Tariff": "simkit.case.tariff",
    "simulate": "simkit.year",
    "Year": "simkit.year",
    "Range": "simkit.year",
    "compare": "simkit.comparison",
    "Comparison": "simkit.comparison",
    "rooms_of": "simkit.rooms",
    "cycling_of": "simkit.cycling",
    "standard_season": "simkit.standard",
    "seasonal_table": "simkit.seasonal",
    "Measured": "simkit.translate_spf",
    "put_at_h4": "simkit.translate_spf",
    "best_schedule": "simkit.decide.schedules",
    "settings_sheet": "simkit.decide.settings_sheet",
    "optimum": "simkit.decide.optimum",
    "saving_by_size": "simkit.decide.storage",
    "saving_range": "simkit.decide.storage",
    "source_use": "simkit.decide.sources",
    "foresight_table": "simkit.decide.interaction",
    "interaction_sentence": "simkit.decide.interaction",
    "verdict_years": "simkit.decide.verdict",
    "verdict_table": "simkit.decide.verdict",
    "verdict_sentence": "simkit.decide.verdict",
    "worst_day": "simkit.decide.storage",
    "interaction_years": "simkit.decide.interaction",
    "interaction_table": "simkit.decide.interaction",
    "flow_sweep": "simkit.decide.flow",
    "flow_worth": "simkit.decide.curve",
    "emitter_ladder": "simkit.decide.emitters",
    "worth": "simkit.finance.money",
    "Worth": "simkit.finance.money",
    "break_even": "simkit.finance.breakeven",
    "prospects": "simkit.finance.risk",
    "Prospects": "simkit.finance.risk",
    "regret": "simkit.finance.risk",
    "offer_pair": "simkit.finance.offers",
    "deciding": "simkit.finance.sensitivity",
    "rank_tariffs": "simkit.decide.tariffs",
    "Shifting": "simkit.decide.shifting",
    "day_ahead": "simkit.decide.day_ahead",
    "load_by_band": "simkit.load_split",
    "daily_cost": "simkit.daily_cost",
    "leaving_fuel": "simkit.finance.leaving_fuel",
    "read_bill": "simkit.case.typed_bill",
    "typed_bill": "simkit.case.typed_bill",
    "check_bill": "simkit.bill_check",
    "TariffRanking": "simkit.decide.tariffs",
    "rank_measures": "simkit.decide.measures",
    "Ladder": "simkit.decide.measures",
    "read_meter": "simkit.meter.reading",
    "Readings": "simkit.meter.reading",
    "fit": "simkit.meter.fitting",
    "Fit": "simkit.meter.fitted",
    "project": "simkit.meter.projection",
    "Projection": "simkit.meter.projection",
    "energy_signature": "simkit.meter.signature",
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

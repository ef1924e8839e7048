"""A comparison in; one self-contained HTML page out: answer, picture, table, bills, months, performance, notes.

Nothing on the page is fetched from anywhere, and all of its text can be selected. The page is the same, byte for byte,
for the same case and version.
"""

from __future__ import annotations

import base64
import re
from functools import cache
from importlib.metadata import version
from typing import TYPE_CHECKING, Any

from simkit.case.build import Case
from simkit.reporting.content import (
    NONE,
    bill_grid,
    comfort_sentence,
    flow_pair,
    flow_sentence,
    months_grid,
    performance_grid,
    spf_text,
)
from simkit.reporting.description import all_notes
from simkit.reporting.grid import Grid
from simkit.reporting.money import money, more_or_less, span, span_of_difference
from simkit.reporting.pictures import Picture, comparison_pictures
from simkit.reporting.words import ESTIMATE, RANGE_MEANS, comparison_answer, difference, either_way, subject_of
from simkit.year.compare import Comparison
from simkit.year.year import Year

if TYPE_CHECKING:
    from jinja2 import Environment

THOUSANDS = re.compile(r"(?<=\d),(?=\d{3}(?!\d))")
NARROW_SPACE = "\u202f"


def comparison_page(comparison: Comparison, case: Case, *, ranged: bool = True) -> str:
    """Write the page of a comparison.

    Parameters
    ----------
    comparison
        The options.
    case
        The case that they vary: its name and note head the page.
    ranged
        Whether to sample and show the ranges.

    Returns
    -------
    str
        The whole HTML document.
    """
    base = comparison.base
    subject = subject_of(comparison) or base
    pictures = comparison_pictures(comparison, subject, ranged=ranged)
    cautions, assumed, method = all_notes(comparison.years)
    content = {
        "title": case.name,
        "note": case.note,
        "answer": comparison_answer(comparison, ranged=ranged),
        "cautions": cautions,
        "assumed": assumed,
        "method": method,
        "baseline": comparison.baseline,
        "range_means": RANGE_MEANS.format(lanes=base.case.uncertainty.lanes) if ranged else "",
        "estimate": ESTIMATE,
        "carbon": f"CO₂ of electricity: {base.case.carbon.electricity_g_per_kwh:g} g/kWh ({base.case.carbon.source}).",
        "options": [_option(comparison, year, chosen=year is subject, ranged=ranged) for year in comparison.years],
        "subject": {"name": subject.case.name},
        "pictures": pictures,
        "subject_pictures": [picture for name, picture in pictures.items() if name != "cost"],
    }
    return rendered("comparison.html", content)


def _option(comparison: Comparison, year: Year, *, chosen: bool, ranged: bool) -> dict[str, Any]:
    """All that the page says of one option, as text."""
    currency, is_base = year.case.currency, year is comparison.base
    cost, found = year.bill.total, year.range() if ranged else None
    more = None if is_base or not ranged else difference(year, comparison.base)
    likely = span_of_difference(more.low, more.high, currency) if more else ""
    performance = performance_grid(year)
    return {
        "name": year.case.name,
        "note": year.case.note,
        "chosen": chosen,
        "cost": money(cost, currency),
        "range": span(found.low, found.high, currency) if found else "",
        "difference": "is the baseline" if is_base else more_or_less(cost - comparison.base.bill.total, currency),
        "difference_range": f"{likely}: either way" if more and either_way(more) else likely,
        "spf": spf_text(year),
        "flow": flow_pair(year),
        "flow_sentence": flow_sentence(year),
        "electricity": f"{year.totals['import']:,.0f}",
        "fuel": f"{sum(year.fuel_kwh.values()):,.0f}" if year.fuel_kwh else NONE,
        "carbon": f"{year.carbon_kg:,.0f}",
        "comfort": year.comfort.words,
        "tariff": year.case.tariff.name,
        "bill": bill_grid(year),
        "months": months_grid(year),
        "performance": performance,
        "comfort_sentence": comfort_sentence(year),
        "size": year.sizing.words if year.sizing else "",
        "digest": year.case.digest,
    }


def rendered(template: str, content: dict[str, Any]) -> str:
    """Fill a template with texts, tables and pictures; the whole HTML document, which fetches nothing."""
    made_by = {"version": version("home-heat-simkit")}
    return templates().get_template(template).render(spaced(content) | made_by) + "\n"


def spaced(value: Any) -> Any:
    """Write thousands with a narrow space, as the pictures do: a comma is a decimal point to half of the readers."""
    if isinstance(value, str):
        return THOUSANDS.sub(NARROW_SPACE, value)
    if isinstance(value, dict):
        return {key: spaced(element) for key, element in value.items()}
    if isinstance(value, Picture):
        return {"data": base64.b64encode(value.svg).decode(), "sentence": spaced(value.sentence)}
    if isinstance(value, Grid):
        return vars(value) | {"titles": spaced(value.titles), "rows": spaced(value.rows)}
    return [spaced(element) for element in value] if isinstance(value, list | tuple) else value


@cache
def templates() -> Environment:
    """The page's templates; whatever a name or a note holds is escaped."""
    from jinja2 import Environment, PackageLoader, StrictUndefined

    loader = PackageLoader("simkit.reporting", "templates")
    return Environment(loader=loader, autoescape=True, undefined=StrictUndefined, trim_blocks=True, lstrip_blocks=True)

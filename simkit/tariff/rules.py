"""The versions of a tariff in, what is wrong between their parts out: cover, tiers, tax stated twice, dates."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Sequence
from itertools import pairwise
from typing import TYPE_CHECKING

from simkit.errors import Fault
from simkit.tariff.cover import cover_faults

if TYPE_CHECKING:
    from simkit.tariff.tariff import Tariff

ONE_DAY = dt.timedelta(days=1)
TAX_INSIDE = "and prices_include_tax = true says that it is in the prices already: it would count twice"


def tariff_faults(versions: Sequence[Tariff]) -> Iterator[Fault]:
    """Yield what is wrong between the parts of a tariff.

    Parameters
    ----------
    versions
        Its terms as they follow each other, each part right by itself.
    """
    for number, terms in enumerate(versions):
        told = "" if number == 0 else f"version from {terms.valid_from}: "
        for fault in _of_terms(terms):
            yield Fault(fault.where, f"{told}{fault.given}", fault.allowed, fault.remedy)
    yield from _dates(versions)


def _of_terms(terms: Tariff) -> Iterator[Fault]:
    if terms.band or not (terms.series or terms.tier):
        yield from cover_faults(terms.band, terms.valid_from, where="")
    if terms.export and terms.export.band is not None:
        for fault in cover_faults(terms.export.band, terms.valid_from, where=""):
            yield Fault("", f"[export] {fault.given}", fault.allowed, fault.remedy)
    yield from _tiers(terms)
    yield from _tax(terms)
    for rebate in terms.rebate or ():
        if rebate.share is not None and terms.tier:
            why = "is taken off bands and prices of a file, and these are tiers"
            yield Fault("", f'rebate "{rebate.name}": share = {rebate.share:g}', why, "Lower the prices of the tiers")


def _tiers(terms: Tariff) -> Iterator[Fault]:
    tiers = terms.tier
    if tiers is None:
        return
    ends = [tier.up_to_kwh for tier in tiers]
    if not ends or ends[-1] is not None:
        last = f"up_to_kwh = {ends[-1]:g}" if ends else "tier = []"
        why = "ends the tiers, and what is used beyond it would have no price"
        yield Fault("", last, why, "Add a last [[tier]] without up_to_kwh")
    for number, (one, other) in enumerate(pairwise(ends), start=1):
        if one is None:
            why = "has no up_to_kwh, and only the last tier may do without"
            yield Fault("", f"tier no. {number}", why, "Say up to which use of a month it holds")
        elif other is not None and other <= one:
            why = f"is not above the {one:g} of the tier before it"
            yield Fault(
                "", f"tier no. {number + 1}: up_to_kwh = {other:g}", why, "Write the tiers from the least use up"
            )


def _tax(terms: Tariff) -> Iterator[Fault]:
    if terms.prices_include_tax:
        parts = [(f'levy "{levy.name}"', levy.taxed) for levy in terms.levy or ()]
        parts += [(f'rebate "{rebate.name}"', rebate.taxed) for rebate in terms.rebate or ()]
        for name, taxed in parts:
            if taxed and terms.tax:
                remedy = "Write taxed = false and the amount with its tax"
                yield Fault("", f"{name}: taxed = true", f"adds the tax to it, {TAX_INSIDE}", remedy)
    elif terms.series and terms.series.tax is not None:
        why = (
            f"is added to the prices of the file, and tax = {terms.tax:g} is added to everything: it would count twice"
        )
        yield Fault("", f"[series] tax = {terms.series.tax:g}", why, "Leave it out of [series]")
    if terms.export and terms.export.series and terms.export.series.tax is not None:
        given = f"[export] [series] tax = {terms.export.series.tax:g}"
        yield Fault("", given, "is a tax on earnings, which is not charged here", "Leave it out")


def _dates(versions: Sequence[Tariff]) -> Iterator[Fault]:
    for one in versions:
        if one.valid_to is not None and one.valid_to < one.valid_from:
            why = f"is not after the day on which the terms before begin, {one.valid_from}"
            following = [other for other in versions if other.valid_from == one.valid_to + ONE_DAY and other is not one]
            if following:
                yield Fault("", f"version from {following[0].valid_from}", why, "Write the versions in order of time")
            else:
                why = f"is before valid_from = {one.valid_from}"
                yield Fault("", f"valid_to = {one.valid_to}", why, "Swap the two, or mend the year")
            return
    for one, other in pairwise(versions):
        assert one.valid_to is not None  # every version but the last has an end
        if other.valid_from > one.valid_to + ONE_DAY:
            days = f"{one.valid_to + ONE_DAY} to {other.valid_from - ONE_DAY}"
            remedy = "Let valid_to and the next valid_from meet, or leave valid_to out"
            yield Fault("", days, "has no tariff: every day needs one", remedy)
        elif other.valid_from <= one.valid_to:
            days = f"{other.valid_from} to {one.valid_to}"
            yield Fault("", days, "has two versions of the tariff", "Let valid_to and the next valid_from meet")

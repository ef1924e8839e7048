"""A ranking's rows in; why the winner wins, in one sentence, out."""

from __future__ import annotations

from collections.abc import Sequence

from simkit.decide.tariff.ranked import RankedTariff

NOTICED = 5.0  # own: a difference of less a year is not worth a word [currency]


def why_it_wins(winner: RankedTariff, own: RankedTariff, rows: Sequence[RankedTariff]) -> str:
    """Say in one sentence why the cheapest tariff after shifting is the cheapest.

    Parameters
    ----------
    winner
        The cheapest.
    own
        The home's own tariff, with which it is compared; where it wins itself, the next cheapest is.
    rows
        All rows, the cheapest first.
    """
    other = own if winner is not own else next((row for row in rows if row is not own), None)
    cost = f"{winner.shifted.cost:,.0f} {winner.tariff.currency} a year"
    if other is None:
        return f"{winner.name} is the only tariff: it costs this home {cost}."
    reasons = [_price_reason(winner, other), *_more_reasons(winner, other)]
    return f"{winner.name} is the cheapest for this home at {cost}: {'; '.join(reasons)}."


def _price_reason(winner: RankedTariff, other: RankedTariff) -> str:
    """Mean price of what this home buys, and the band that makes it."""
    mine, theirs = winner.shifted.bill.mean_price_per_kwh, other.as_is.bill.mean_price_per_kwh
    said = f"a kilowatt-hour costs {mine:.3f} on average, against {theirs:.3f} on {other.name}"
    share, bands = winner.shifted.cheap_share, winner.shifted.bill.bands
    if share is None:
        return said
    if any(line.kind == "market" for line in winner.shifted.bill.lines):
        return f"{share:.0%} of what it buys falls into the cheapest quarter of the hours, and {said}"
    cheap = min(bands, key=lambda band: band.price_per_kwh)
    price = f"{cheap.price_per_kwh:.4f}".rstrip("0")
    return f"{share:.0%} of what it buys falls into {cheap.name} at {price}, so that {said}"


def _more_reasons(winner: RankedTariff, other: RankedTariff) -> list[str]:
    """What is due by day, by peak and by month, where it differs, and what moving saves on this tariff."""
    found, currency = [], winner.tariff.currency
    more, saved = winner.shifted.bill.fixed_amount - other.as_is.bill.fixed_amount, -winner.behaviour_effect
    if abs(more) >= NOTICED:
        peak = any(line.kind == "demand" for line in winner.shifted.bill.lines)
        what = "its standing charges and peak power" if peak else "its standing charges"
        found.append(f"{what} come to {abs(more):,.0f} {currency} {'more' if more > 0 else 'less'}")
    if saved >= NOTICED and winner.shifted.moved:
        found.append(f"{saved:,.0f} {currency} of it comes from moving ({'; '.join(winner.shifted.moved)})")
    return found

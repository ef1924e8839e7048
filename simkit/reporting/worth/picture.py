"""Options weighed over the years in; the picture of two offers, or of an option's gain, as bytes out."""

from __future__ import annotations

from simkit.figures.money.over_years import offers_over_years
from simkit.figures.money.tornado import BAR_INCHES, tornado_bars
from simkit.figures.style import Sheet
from simkit.finance.offers import OfferPair
from simkit.reporting.on_page import drawn_bytes
from simkit.reporting.worth.terminal import Weighed

TORNADO_SHEET = Sheet(left=2.7, right=0.6)
MOST_BARS = 8


def weighing_picture(found: Weighed, *, kind: str) -> bytes:
    """Draw the two offers over the years; where there is no pair, what decides the gain of an option.

    Parameters
    ----------
    found
        What was worked out.
    kind
        ``png``, ``svg`` or ``pdf``.
    """
    if found.pair is not None:
        return offers_picture(found.pair, found.worth.base.year.bill.currency, kind)
    return deciding_picture(found, kind)


def offers_picture(pair: OfferPair, currency: str, kind: str) -> bytes:
    """Draw what two offers have cost up to each year."""
    likely = None if pair.overtaken_range is None else (pair.overtaken_range.low, pair.overtaken_range.high)
    return drawn_bytes(
        lambda figure: offers_over_years(
            pair.cumulated, overtaken=pair.overtaken, likely=likely, currency=currency, figure=figure
        ),
        kind,
    )


def deciding_picture(found: Weighed, kind: str) -> bytes:
    """Draw the inputs that decide, the widest on top."""
    bars = found.deciding
    assert bars is not None  # always worked out on the command line
    high = BAR_INCHES * min(len(bars), MOST_BARS) + 0.2
    return drawn_bytes(
        lambda figure: tornado_bars(
            bars, currency=found.worth.base.year.bill.currency, ax=TORNADO_SHEET.axes([high], figure=figure)[0]
        ),
        kind,
    )

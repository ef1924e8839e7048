"""Options weighed over the years in; the picture of two offers, or of an option's gain, as bytes out."""

from __future__ import annotations

from io import BytesIO
from typing import Any

from simkit.reporting.worth.terminal import Weighed

DOTS_PER_INCH = 160


def weighing_picture(found: Weighed, *, kind: str) -> bytes:
    """Draw the two offers over the years; where there is no pair, what decides the gain of an option.

    Parameters
    ----------
    found
        What was worked out.
    kind
        ``png``, ``svg`` or ``pdf``.
    """
    import matplotlib as mpl

    mpl.use("Agg", force=False)
    from matplotlib import pyplot

    from simkit.figures.money.over_years import offers_over_years
    from simkit.figures.money.tornado import tornado_bars

    currency, pair = found.worth.base.year.bill.currency, found.pair
    if pair is not None:
        likely = None if pair.overtaken_range is None else (pair.overtaken_range.low, pair.overtaken_range.high)
        ax = offers_over_years(pair.cumulated, overtaken=pair.overtaken, likely=likely, currency=currency)
    else:
        assert found.deciding is not None  # always worked out on the command line
        ax = tornado_bars(found.deciding, currency=currency)
    out = BytesIO()
    figure: Any = ax.figure
    figure.savefig(out, format=kind, dpi=DOTS_PER_INCH)
    pyplot.close(figure)
    return out.getvalue()

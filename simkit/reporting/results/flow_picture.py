"""A sweep of design flows in; its picture as bytes out. matplotlib is loaded here and nowhere before."""

from __future__ import annotations

from io import BytesIO

import pandas as pd

from simkit.case.build import Case
from simkit.figures.decide.flow import flow_cost

DOTS_PER_INCH = 160


def flow_picture(table: pd.DataFrame, case: Case, *, kind: str) -> bytes:
    """Draw cost against design flow with its comfort line.

    Parameters
    ----------
    table
        What `simkit.decide.flow.sweep.sweep_flow` gave.
    case
        The home, for its currency and its own design flow.
    kind
        ``png``, ``svg`` or ``pdf``.
    """
    from matplotlib.figure import Figure

    figure = Figure()
    flow_cost(table, currency=case.currency, now_c=case.controls.design_flow_c, figure=figure)
    out = BytesIO()
    figure.savefig(out, format=kind, dpi=DOTS_PER_INCH)
    return out.getvalue()

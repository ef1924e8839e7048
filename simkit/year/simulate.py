"""A case in, its simulated year out."""

from __future__ import annotations

from simkit.assemble.heat_loss import loss_w_per_k
from simkit.assemble.home import home_inputs
from simkit.assemble.setting import setting_for, step_of
from simkit.case.case import Case
from simkit.kernel.run import run_home
from simkit.year.year import Year


def simulate(case: Case, *, step_minutes: int | None = None) -> Year:
    """Simulate one home's year.

    Parameters
    ----------
    case
        The home.
    step_minutes
        Length of a step [min]; None takes the longest on which every window and price edge of the case falls.

    Returns
    -------
    Year
        The year; ranges are sampled only when asked for.

    Raises
    ------
    CaseError, DataError
        Where the case contradicts itself or its files are wrong.
    """
    step, notes = step_of(case)
    if step_minutes is not None:
        step, notes = step_minutes, ()
    setting = setting_for(case, step)
    loss = loss_w_per_k(case)
    inputs = home_inputs(case, setting, loss)
    run = run_home(inputs, setting.axis.steps, setting.axis.hours)
    return Year(case, setting.axis, loss, setting, inputs, run, notes)

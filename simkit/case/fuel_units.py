"""Amounts of fuel as they are metered or delivered in, kilowatt-hours of gross calorific value out.

Calorific value and volume correction are always stated by the caller: they differ between countries and from month to
month, so there is no default.
"""

from __future__ import annotations

MJ_PER_KWH = 3.6  # by definition of the joule
M3_PER_HUNDRED_FT3_BILLED = 2.83  # the rounded factor that British gas bills use


def gas_kwh(volume_m3: float, calorific_value_mj_m3: float, *, volume_correction: float) -> float:
    """Energy of a metered volume of gas.

    Parameters
    ----------
    volume_m3
        Volume by the meter [m³], 0 or more.
    calorific_value_mj_m3
        Gross calorific value of the bill [MJ/m³], about 36 to 43 for natural gas.
    volume_correction
        Correction to standard temperature and pressure [-]; 1.02264 on British bills, 1 where the meter corrects.

    Returns
    -------
    float
        volume × correction × calorific value / 3.6 [kWh, gross].

    References
    ----------
    Gas (Calculation of Thermal Energy) Regulations, SI 1996/439.
    """
    return volume_m3 * volume_correction * calorific_value_mj_m3 / MJ_PER_KWH


def billed_cubic_metres(hundreds_of_ft3: float) -> float:
    """Volume that a British bill makes of hundreds of cubic feet, with its rounded factor of 2.83 [m³]."""
    return hundreds_of_ft3 * M3_PER_HUNDRED_FT3_BILLED

"""Nothing in, the constants of nature and of units that more than one room needs out; each with its source."""

from __future__ import annotations

KELVIN = 273.15  # 0 °C on the absolute scale [K], by definition of the degree Celsius
MJ_PER_KWH = 3.6  # by definition of the joule
J_PER_KWH = 1e6 * MJ_PER_KWH  # by definition of the joule
# A litre of water taken as a kilogram of 4.1868 kJ/(kg K) (common practice). CoolProp gives 0.034855 kWh/kg from 10 to
# 40 °C; at 40 °C a litre weighs 0.992 kg, so that a draw by volume is counted 0.8 % high.
KWH_PER_LITRE_K = 1.163e-3
RATED_EXCESS_K = 50.0  # EN 442-2: water 75/65 °C in a room of 20 °C, arithmetic mean
SAFE_ROOM_C = 18.0  # WHO Housing and Health Guidelines 2018: a safe minimum indoors

"""Weather on a time axis in; the sun's place, radiation on planes, gains through windows and solar electricity out.

The only module that imports pvlib, and it does so inside functions, so that importing this module costs nothing. The
sun is taken at the middle of each step. Readers and the weather of monthly figures ask here where the sun stood, so
that windows, panels and weather share one sun.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd

from simkit.arrays import Bools, Floats, Ints, read_only
from simkit.clock import TimeAxis
from simkit.kept.disk import on_disk
from simkit.kept.memory import memo

GROUND_ALBEDO = 0.2  # common practice: grass and mixed ground, without snow
GLASS_OBLIQUE = 0.9  # EN ISO 13790:2008, 11.4.2: g of non-scattering glass over a year against g at normal incidence
POWER_PER_K = -0.0035  # share of the power per kelvin above 25 °C; own: crystalline modules of recent years
INVERTER_EFFICIENCY = 0.96  # Dobos 2014 (NREL/TP-6A20-62641), default
ROOF_WIND_M_S = 1.0  # own: a roof is sheltered, and files of months carry no wind
DIFFUSE_ANGLE_DEG = 58.0  # diffuse light passes glass as beam light at about this angle (common practice)
HOUR_ANGLE_DEG = 15.0  # degrees that the earth turns in an hour
LOWEST_BEAM_ZENITH_DEG = 87.0  # nearer the horizon all light is taken as diffuse
COS_LOWEST_BEAM = float(np.cos(np.radians(LOWEST_BEAM_ZENITH_DEG)))


@dataclass(frozen=True)
class Sun:
    """Where the sun stands in the middle of each step.

    Parameters
    ----------
    zenith_deg
        Angle from the vertical, bent by the air, (steps,) [deg].
    azimuth_deg
        Clockwise from north, (steps,) [deg].
    beyond_air_w_m2
        Radiation on a plane facing the sun outside the atmosphere, (steps,) [W/m²].
    day_of_year
        From 1, in UTC, (steps,).
    """

    zenith_deg: Floats
    azimuth_deg: Floats
    beyond_air_w_m2: Floats
    day_of_year: Ints

    @property
    def height(self) -> Floats:
        """Cosine of the zenith angle, 0 where the sun is below the horizon, (steps,) [-]."""
        return np.maximum(np.cos(np.radians(self.zenith_deg)), 0.0)


def sun_at(times: pd.DatetimeIndex, latitude_deg: float, longitude_deg: float, altitude_m: float) -> Sun:
    """Return the sun at instants.

    Parameters
    ----------
    times
        Instants, time zone aware, (n,).
    latitude_deg, longitude_deg
        Place, north and east positive [deg].
    altitude_m
        Height above the sea [m]; thins the air that bends the light.

    Returns
    -------
    Sun
        The algorithm of Reda and Andreas 2004 (NREL/TP-560-34302), as in pvlib; a year of hours takes 0.03 s.
    """
    from pvlib import atmosphere, irradiance, solarposition

    air_pa = atmosphere.alt2pres(altitude_m)
    place = solarposition.spa_python(times, latitude_deg, longitude_deg, altitude=altitude_m, pressure=air_pa)
    day = np.asarray(times.day_of_year, dtype=np.int64)
    beyond = irradiance.get_extra_radiation(day, method="spencer")
    zenith, azimuth, beyond_air = (
        read_only(np.array(values, dtype=np.float64)) for values in (place["apparent_zenith"], place["azimuth"], beyond)
    )
    return Sun(zenith, azimuth, beyond_air, day)


@memo
@on_disk
def sun_position(axis: TimeAxis, latitude_deg: float, longitude_deg: float, altitude_m: float = 0.0) -> Sun:
    """Return the sun in the middle of each step of `axis`; computed once for each axis and place. See `sun_at`."""
    middle = axis.utc + pd.Timedelta(minutes=axis.step_minutes / 2)
    return sun_at(middle, latitude_deg, longitude_deg, altitude_m)


def clear_sky_w_m2(sun: Sun) -> Floats:
    """Return global radiation under a cloudless sky, (steps,) [W/m²].

    Haurwitz 1945, Journal of Meteorology 2, 154: from the sun's height alone, no look-up of turbidity.
    """
    from pvlib import clearsky

    return np.asarray(clearsky.haurwitz(pd.Series(sun.zenith_deg))["ghi"].to_numpy(), dtype=np.float64)


def split_beam_diffuse(ghi_w_m2: Floats, sun: Sun) -> tuple[Floats, Floats]:
    """Split global radiation into beam at normal incidence and diffuse, both (steps,) [W/m²].

    Erbs, Klein and Duffie 1982, Solar Energy 28, 293, hour by hour. With the sun under 3° above the horizon everything
    is diffuse. ``ghi = dni * cos(zenith) + dhi`` holds in every step.
    """
    from pvlib import irradiance

    parts = irradiance.erbs(ghi_w_m2, sun.zenith_deg, sun.day_of_year, max_zenith=LOWEST_BEAM_ZENITH_DEG)
    return np.asarray(parts["dni"], dtype=np.float64), np.asarray(parts["dhi"], dtype=np.float64)


def solar_time(times: pd.DatetimeIndex, longitude_deg: float) -> tuple[Floats, Floats]:
    """Return apparent solar time [h, 12 when the sun is highest] and the sun's declination [rad] at instants, (n,).

    Spencer 1971, as in pvlib; good to a minute and a half and, as his series keeps the calendar of 1971 and equinoxes
    come a day earlier now, to 0.6° (a year's cost moves by less than 0.01 %).
    """
    from pvlib import solarposition

    day = np.asarray(times.day_of_year, dtype=np.int64)
    early = np.asarray(solarposition.equation_of_time_spencer71(day), dtype=np.float64) / 60.0
    clock = np.asarray(times.hour + times.minute / 60.0, dtype=np.float64)
    tilt = np.asarray(solarposition.declination_spencer71(day), dtype=np.float64)
    return (clock + longitude_deg / HOUR_ANGLE_DEG + early) % 24.0, tilt


def sun_offset_h(times: pd.DatetimeIndex, ghi_w_m2: Floats, latitude_deg: float, longitude_deg: float) -> float:
    """Find how late the sun in measured radiation is against the computed sun [h].

    Parameters
    ----------
    times
        Middle of each interval, UTC, (n,).
    ghi_w_m2
        Global radiation, (n,) [W/m²]; NaN counts as dark.
    latitude_deg, longitude_deg
        Place [deg].

    Returns
    -------
    float
        Hours, -12 to 12: positive where the stamps are later than the sun. The shift of the hour angle at which the
        sun's height correlates best with the radiation, to about 0.05 h on a year of hours.
    """
    ghi = np.nan_to_num(np.asarray(ghi_w_m2, dtype=np.float64))
    clock, tilt = solar_time(times, longitude_deg)
    phi = np.radians(latitude_deg)
    level, swing = np.sin(phi) * np.sin(tilt), np.cos(phi) * np.cos(tilt)

    def fit(shift: float) -> float:
        angle = np.radians(HOUR_ANGLE_DEG * (clock - shift - 12.0))
        height = np.maximum(level + swing * np.cos(angle), 0.0)
        return float(np.corrcoef(height, ghi)[0, 1])

    coarse = np.arange(-12.0, 12.0)
    best = float(coarse[int(np.argmax([fit(shift) for shift in coarse]))])
    for width in (0.25, 0.05):
        near = best + width * np.arange(-4, 5)
        best = float(near[int(np.argmax([fit(shift) for shift in near]))])
    return best


def plane_w_m2(weather: Any, site: Any, tilt_deg: float, azimuth_deg: float) -> Floats:
    """Return radiation on a plane: sun, sky (Hay and Davies 1980) and ground, (steps,) [W/m²].

    Parameters
    ----------
    weather
        Its frame needs ghi_w_m2, dni_w_m2 and dhi_w_m2.
    site
        With latitude_deg, longitude_deg and altitude_m.
    tilt_deg
        0 is level, 90 a wall [deg].
    azimuth_deg
        180 faces south, clockwise from north [deg].
    """
    beam, diffuse, _ = _on_plane(weather, site, tilt_deg, azimuth_deg)
    return beam + diffuse


def _on_plane(weather: Any, site: Any, tilt_deg: float, azimuth_deg: float) -> tuple[Floats, Floats, Floats]:
    """Beam with the bright ring round the sun, other diffuse [W/m²], and the angle to the plane [deg]."""
    from pvlib import irradiance

    sun = sun_position(weather.axis, site.latitude_deg, site.longitude_deg, site.altitude_m)
    # A step counts as night when the sun is down in all of it.
    night = sun.zenith_deg >= 90.0 + HOUR_ANGLE_DEG * weather.axis.hours / 2.0
    columns = (weather.frame[name].to_numpy() for name in ("ghi_w_m2", "dni_w_m2", "dhi_w_m2"))
    ghi, dni, dhi = (np.where(night, 0.0, np.maximum(column, 0.0)) for column in columns)
    up = sun.zenith_deg < LOWEST_BEAM_ZENITH_DEG
    dni = np.where(up, dni, 0.0)
    angle = np.asarray(irradiance.aoi(tilt_deg, azimuth_deg, sun.zenith_deg, sun.azimuth_deg), dtype=np.float64)
    facing = np.maximum(np.cos(np.radians(angle)), 0.0)
    share = dni / sun.beyond_air_w_m2  # of the diffuse light that comes from around the sun
    ring = np.where(up, dhi * share * facing / np.maximum(sun.height, COS_LOWEST_BEAM), 0.0)
    seen = (1.0 + np.cos(np.radians(tilt_deg))) / 2.0
    sky = dhi * np.where(up, 1.0 - share, 1.0) * seen
    return dni * facing + ring, sky + ghi * GROUND_ALBEDO * (1.0 - seen), angle


@on_disk
def window_gain_kw(weather: Any, site: Any, windows: Sequence[Any]) -> Floats:
    """Return the heat that sun brings in through all windows, (steps,) [kW].

    Parameters
    ----------
    weather
        Its frame needs the three radiations.
    site
        With latitude_deg, longitude_deg and altitude_m.
    windows
        Each with area_m2, azimuth_deg, tilt_deg, transmittance (of the pane, at normal incidence) and shading (the
        share of the light that frame, blind and trees let through). Glass lets less light through aslant:
        `GLASS_OBLIQUE`.
    """
    gain = np.zeros(weather.axis.steps)
    for window in windows:
        clear_m2 = window.area_m2 * window.transmittance * window.shading * GLASS_OBLIQUE
        gain += clear_m2 * plane_w_m2(weather, site, window.tilt_deg, window.azimuth_deg) / 1000.0
    return gain


def combined_loss(losses: Any) -> float:
    """Return the share lost in the four groups dirt, shade, wiring and downtime, one after the other [-]."""
    return 1.0 - (1.0 - losses.dirt) * (1.0 - losses.shade) * (1.0 - losses.wiring) * (1.0 - losses.downtime)


@on_disk
def array_and_clipped_kw(weather: Any, site: Any, solar: Any) -> tuple[Floats, Floats]:
    """Return the electricity of all arrays behind one inverter, and what the limit of that inverter cuts away.

    Parameters
    ----------
    weather
        Its frame needs outdoor_c and the three radiations.
    site
        With latitude_deg, longitude_deg and altitude_m.
    solar
        With `array` (each kwp, tilt_deg, azimuth_deg), inverter_kw (AC), losses (dirt, shade, wiring, downtime), the
        skyline (`horizon`) or the shade of each month, and the age of the panels.

    Returns
    -------
    given, cut : ndarray
        (steps,) each [kW AC]; what is cut away is counted at the inverter's nominal efficiency.
        Chain of Dobos (2014, NREL/TP-6A20-62641): plane, reflection, cell temperature on a roof, power, losses,
        inverter with its limit. Never below 0, and 0 at night.
    """
    from pvlib import inverter

    skyline = solar.horizon or ()
    dc_w = sum((_array_dc_w(weather, site, array, skyline) for array in solar.array), np.zeros(weather.axis.steps))
    dc_w = dc_w * (1.0 - combined_loss(solar.losses))
    dc_w = dc_w * (1.0 - np.array(solar.shade_by_month or [0.0] * 12)[weather.axis.month - 1])
    dc_w = dc_w * (1.0 - solar.ageing_per_year) ** solar.age_years
    limit_w = 1000.0 * solar.inverter_kw / INVERTER_EFFICIENCY  # of the DC side
    ac_w = inverter.pvwatts(dc_w, pdc0=limit_w, eta_inv_nom=INVERTER_EFFICIENCY)
    given = np.maximum(np.asarray(ac_w, dtype=np.float64), 0.0) / 1000.0
    return given, np.maximum(dc_w - limit_w, 0.0) * INVERTER_EFFICIENCY / 1000.0


def past_skyline(points: Sequence[Any], sun: Sun) -> tuple[Bools, float]:
    """Where the sun stands above a skyline, (steps,), and the share of an evenly bright sky's light that it leaves [-].

    Between its points the skyline runs straight, all round. The share is the mean of cos² of its height: Lambert's
    cosine law over the part of the dome above it (own derivation: ∫ sin·cos from the height up to the zenith, over the
    same from the level); taken for tilted planes too.
    """
    at, high = np.array(sorted((point.azimuth_deg % 360.0, point.height_deg) for point in points)).T
    seen = 90.0 - sun.zenith_deg > np.interp(sun.azimuth_deg, at, high, period=360.0)
    heights = np.interp(np.arange(0.5, 360.0), at, high, period=360.0)
    return seen, float(np.mean(np.cos(np.radians(heights)) ** 2))


def _array_dc_w(weather: Any, site: Any, array: Any, skyline: Sequence[Any] = ()) -> Floats:
    from pvlib import iam, pvsystem, temperature

    beam, diffuse, angle = _on_plane(weather, site, array.tilt_deg, array.azimuth_deg)
    if skyline:
        sun = sun_position(weather.axis, site.latitude_deg, site.longitude_deg, site.altitude_m)
        seen, sky_left = past_skyline(skyline, sun)
        beam, diffuse = beam * seen, diffuse * sky_left
    roof = temperature.TEMPERATURE_MODEL_PARAMETERS["sapm"]["close_mount_glass_glass"]
    outdoor = weather.frame["outdoor_c"].to_numpy()
    cell = temperature.sapm_cell(beam + diffuse, outdoor, ROOF_WIND_M_S, **roof)
    useful = beam * iam.physical(np.minimum(angle, 90.0)) + diffuse * iam.physical(DIFFUSE_ANGLE_DEG)
    return np.asarray(pvsystem.pvwatts_dc(useful, cell, 1000.0 * array.kwp, POWER_PER_K), dtype=np.float64)

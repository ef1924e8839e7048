"""What others published of sun and damp air, and other models of the sky, and what the kit gives beside them."""

from __future__ import annotations

import warnings
from functools import cache
from types import SimpleNamespace
from typing import Any

import numpy as np
import pandas as pd

from simkit.arrays import Floats
from simkit.case.power.solar import Losses
from simkit.case.shipped import default_table
from simkit.clock import TimeAxis
from simkit.readers.tmy3 import read_tmy3
from simkit.solar.sun import (
    HOUR_ANGLE_DEG,
    INVERTER_EFFICIENCY,
    POWER_PER_K,
    ROOF_WIND_M_S,
    array_and_clipped_kw,
    past_skyline,
    plane_w_m2,
    solar_time,
    sun_at,
    sun_position,
)
from simkit.validation.claim import HANDBOOKS, LIBRARIES, Claim, Naive
from simkit.validation.homes import home
from simkit.weather.damp import humidity_from_minimum, vapour_hpa
from simkit.weather.hours import weather_on
from simkit.weather.sky import heaven

TRANSITS = (  # UTC of the sun's highest place, and longitude
    ("2015-01-02 19:04:45", -105.1786), ("2015-08-02 19:06:58", -105.1786),
    ("1996-07-05 12:04:36", 0.0), ("2004-12-04 11:50:22", 0.0),
)  # fmt: skip
SLOPES_DEG = (10.0, 30.0, 45.0)
DEW_C, AIR_C = 21.3094, 25.0
GREENSBORO, SAND_POINT = "723170TYA.CSV", "703165TY.csv"
ROOF = (35.0, 180.0)
TURBIDITY = 3.0
HIGH_DEG = 84.0  # nearer the horizon ways of parting the light are all of little worth


def _transits(exact: bool) -> list[float]:
    """Apparent solar time at the sun's highest place; by mean time where not exact [h]."""
    found = []
    for stamp, longitude in TRANSITS:
        at = pd.DatetimeIndex([stamp], tz="UTC")
        mean = (at.hour[0] + at.minute[0] / 60.0 + longitude / HOUR_ANGLE_DEG) % 24.0
        found.append(float(solar_time(at, longitude)[0][0]) if exact else float(mean))
    return found


def _year_of_noons() -> pd.DatetimeIndex:
    return pd.date_range("2025-01-01 12:00", "2025-12-31 12:00", freq="D", tz="UTC")


def _declinations() -> Floats:
    """How high the sun stands at the pole, which is its declination, by another algorithm [°]."""
    from pvlib import solarposition

    found = solarposition.spa_python(_year_of_noons(), 90.0, 0.0, altitude=0.0, pressure=1e-9)
    return np.asarray(found["elevation"], dtype=float)


def _valley_seen(slope_deg: float) -> float:
    """Share of an even sky's light at the bottom of a long valley, from its skyline [-]."""
    azimuth = np.arange(0.0, 360.0)
    height = np.degrees(np.arctan(np.tan(np.radians(slope_deg)) * np.abs(np.sin(np.radians(azimuth)))))
    points = [SimpleNamespace(azimuth_deg=a, height_deg=h) for a, h in zip(azimuth, height, strict=True)]
    noon = sun_at(pd.DatetimeIndex(["2025-06-21 12:00"], tz="UTC"), 50.0, 0.0, 0.0)
    return past_skyline(points, noon)[1]


def _damp_day() -> float:
    """Relative humidity at 25 °C of a day whose coldest hour is the dew point [-]."""
    axis = TimeAxis("UTC", 2025, 60)
    outdoor = np.where(axis.minute_of_day < 60, DEW_C, AIR_C)
    return float(humidity_from_minimum(axis, outdoor)[12])


def _clear_day_mj() -> float:
    axis = TimeAxis("Europe/Brussels", 2025, 60)
    clear = heaven(axis, 50.8, 4.35, 100.0).clear_w_m2
    return float(clear[axis.day == 187 - 1].sum() * 3.6e-3)


@cache
def _sky() -> tuple[Any, Any, Any, Any]:
    """Place and made weather of the canal home, the sun over it, and when it stands well up."""
    case = home("canal_terrace")
    weather = weather_on(case.site, case.weather, TimeAxis(case.site.zone, case.site.year, 60))
    sun = sun_position(weather.axis, case.site.latitude_deg, case.site.longitude_deg, case.site.altitude_m)
    return case.site, weather, sun, sun.zenith_deg < HIGH_DEG


def _on_roof(model: str | None) -> float:
    """A year on a roof of 35° to the south, by the kit or by another model of the sky [kWh/m²]."""
    from pvlib import irradiance

    site, weather, sun, high = _sky()
    if model is None:
        return float(plane_w_m2(weather, site, *ROOF)[high].sum() / 1000.0)
    parts = [weather.frame[name].to_numpy() for name in ("dni_w_m2", "ghi_w_m2", "dhi_w_m2")]
    airmass = 1.0 / np.maximum(sun.height, 0.05)
    found = irradiance.get_total_irradiance(
        *ROOF, sun.zenith_deg, sun.azimuth_deg, *parts, dni_extra=sun.beyond_air_w_m2, airmass=airmass, albedo=0.2,
        model=model,
    )  # fmt: skip
    return float(np.nansum(np.asarray(found["poa_global"], dtype=float)[high]) / 1000.0)


def _diffuse_share(model: str | None) -> float:
    """Diffuse share of a year's light, by the kit or by another way of parting it [-]."""
    from pvlib import irradiance

    _, weather, sun, high = _sky()
    ghi = weather.frame["ghi_w_m2"].to_numpy()
    diffuse = weather.frame["dhi_w_m2"].to_numpy()
    if model is not None:
        part = getattr(irradiance, model)
        diffuse = np.asarray(part(ghi, sun.zenith_deg, sun.day_of_year)["dhi"], dtype=float)
    return float(diffuse[high].sum() / ghi[high].sum())


def _clear_noons(ours: bool) -> float:
    """Mean of the year's cloudless noons, ours or by turbidity of the air [W/m²]."""
    from pvlib import clearsky

    site, weather, sun, _ = _sky()
    noon = weather.axis.minute_of_day == 12 * 60
    if ours:
        return float(
            heaven(weather.axis, site.latitude_deg, site.longitude_deg, site.altitude_m).clear_w_m2[noon].mean()
        )
    zenith, beyond = sun.zenith_deg[noon], sun.beyond_air_w_m2[noon]
    airmass = 1.0 / np.maximum(sun.height[noon], 0.05)
    found = clearsky.ineichen(zenith, airmass, TURBIDITY, altitude=site.altitude_m, dni_extra=beyond)
    return float(np.asarray(found["ghi"], dtype=float).mean())


def _typical(name: str, library: bool) -> list[float]:
    """Global radiation and beam [kWh/m²], mean temperature [°C] and humidity [%] of a typical year's file."""
    import pvlib

    path = f"{next(iter(pvlib.__path__))}/data/{name}"
    if library:
        frame = pvlib.iotools.read_tmy3(path, map_variables=True)[0]
        names = ("ghi", "dni", "temp_air", "relative_humidity")
    else:
        frame = read_tmy3(path)[0]
        frame = frame.assign(humidity=100.0 * frame["humidity"])
        names = ("ghi_w_m2", "dni_w_m2", "outdoor_c", "humidity")
    radiation = [float(frame[name].sum()) / 1000.0 for name in names[:2]]
    return radiation + [float(frame[name].mean()) for name in names[2:]]


@cache
def _american() -> tuple[Any, Any]:
    """A site near Greensboro, and its typical year."""
    import pvlib

    axis = TimeAxis("Etc/GMT+5", 2025, 60)
    place = {"zone": axis.zone, "latitude_deg": 36.1, "longitude_deg": -79.95, "altitude_m": 273.0, "country": "US"}
    site = home("canal_terrace").site.model_copy(update=place)
    source = SimpleNamespace(file=f"{next(iter(pvlib.__path__))}/data/{GREENSBORO}", format=None, bridge_hours=None)
    return site, weather_on(site, source, axis)


def _roof_yield() -> float:
    """A kWp on a roof of 30° to the south there [kWh a year]."""
    site, weather = _american()
    losses = Losses.model_validate(default_table()["solar"]["losses"])
    array = SimpleNamespace(kwp=1.0, tilt_deg=30.0, azimuth_deg=180.0)
    plant = SimpleNamespace(
        array=(array,), inverter_kw=1.0, losses=losses, horizon=None, shade_by_month=None, ageing_per_year=0.0,
        age_years=0.0,
    )  # fmt: skip
    return float(array_and_clipped_kw(weather, site, plant)[0].sum())


def _chain_yield() -> float:
    """The same plant put together by the library's own model of one [kWh a year]."""
    from pvlib import location, modelchain, pvsystem, temperature

    _, weather = _american()
    cells = temperature.TEMPERATURE_MODEL_PARAMETERS["sapm"]["close_mount_glass_glass"]
    array = pvsystem.Array(
        pvsystem.FixedMount(surface_tilt=30.0, surface_azimuth=180.0), albedo=0.2,
        module_parameters={"pdc0": 1000.0, "gamma_pdc": POWER_PER_K}, temperature_model_parameters=cells,
    )  # fmt: skip
    inverter = {"pdc0": 1000.0 / INVERTER_EFFICIENCY, "eta_inv_nom": INVERTER_EFFICIENCY}
    system = pvsystem.PVSystem(arrays=[array], inverter_parameters=inverter, losses_parameters={})
    chain = modelchain.ModelChain(
        system, location.Location(36.1, -79.95, altitude=273), aoi_model="physical", spectral_model="no_loss",
        losses_model="pvwatts",
    )  # fmt: skip
    names = {"ghi_w_m2": "ghi", "dni_w_m2": "dni", "dhi_w_m2": "dhi", "outdoor_c": "temp_air"}
    frame = weather.frame[list(names)].rename(columns=names).assign(wind_speed=ROOF_WIND_M_S)
    frame.index = frame.index + pd.Timedelta(minutes=30)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # it asks pandas by an old name
        chain.run_model(frame)
    return float(np.nansum(np.maximum(chain.results.ac, 0.0))) / 1000.0


CLAIMS = (
    Claim(HANDBOOKS, "Saturated vapour at 5, 25 and 50 °C [hPa]",
          "ASHRAE Handbook of Fundamentals 2017, chapter 1, Table 3, as PsychroLib quotes it",
          (8.726, 31.697, 123.513), (0.03, 0.1, 0.4), "0.3 %: another fit of the same curve",
          lambda: vapour_hpa(np.array([5.0, 25.0, 50.0]))),
    Claim(LIBRARIES, "Humidity at 25 °C over a dew point of 21.3094 °C [-]",
          "PsychroLib 2.5.0, the example of its manual: 0.80", 0.80, 0.002, "another fit of the vapour's pressure",
          _damp_day, Naive("5 % less for each kelvin", lambda: 1.0 - 0.05 * (AIR_C - DEW_C))),
    Claim(HANDBOOKS, "Sun time at four highest places of the sun [h]",
          "NREL, calculator of Reda and Andreas 2004, as pvlib quotes it", (12.0,) * 4, 0.025,
          "Spencer's series of 1971, good to a minute and a half", lambda: _transits(True),
          Naive("mean time of the place", lambda: _transits(False))),
    Claim(LIBRARIES, "How high the sun stands over the equator on every day [°]",
          "pvlib: Reda and Andreas 2004, seen from the pole", _declinations, 0.6,
          "Spencer's series keeps the calendar of 1971: equinoxes come a day earlier now",
          lambda: np.degrees(solar_time(_year_of_noons(), 0.0)[1]),
          Naive("a cosine of the year", lambda: -23.45 * np.cos(2.0 * np.pi * (np.arange(1, 366) + 10.0) / 365.0))),
    Claim(HANDBOOKS, "Radiation outside the air on day 60 [W/m²]", "PV_LIB of Sandia, the example of its manual",
          1392.2, 0.5, "another solar constant", lambda: sun_at(pd.DatetimeIndex(["2025-03-01 12:00"], tz="UTC"), 0.0,
          0.0, 0.0).beyond_air_w_m2, Naive("the solar constant", lambda: 1367.0)),
    Claim(HANDBOOKS, "Sky seen from the bottom of a valley of 10, 30 and 45° [-]",
          "Bendix 2004, equation 3.15: the cosine of the slope", lambda: np.cos(np.radians(SLOPES_DEG)), 5e-5,
          "a skyline of 360 points", lambda: [_valley_seen(slope) for slope in SLOPES_DEG],
          Naive("the share of the angle that is free", lambda: [1.0 - slope / 90.0 for slope in SLOPES_DEG])),
    Claim(HANDBOOKS, "Cloudless day, 50°48' N, 6 July [MJ/m²]",
          "Allen, Pereira, Raes and Smith 1998, FAO Irrigation and Drainage Paper 56, example 18, as PyETo quotes it",
          30.90, 1.85, "6 %: theirs is a usual clear day, ours the clearest", _clear_day_mj),
    Claim(LIBRARIES, "Year on a roof of 35° to the south, by a finer sky [kWh/m²]", "pvlib: Perez and others 1990",
          lambda: _on_roof("perez"), lambda: 0.03 * _on_roof("perez"), "3 %: another model of the sky",
          lambda: _on_roof(None), Naive("the sky alike all over", lambda: _on_roof("isotropic"))),
    Claim(LIBRARIES, "The same by a model for all skies [kWh/m²]", "pvlib: Reindl and others 1990",
          lambda: _on_roof("reindl"), lambda: 0.02 * _on_roof("reindl"), "2 %: the horizon is brightened there",
          lambda: _on_roof(None), Naive("radiation on the level", lambda: _sky()[1].frame["ghi_w_m2"].sum() / 1000.0)),
    Claim(LIBRARIES, "Diffuse share of a year's light [-]", "pvlib: Boland and others 2008",
          lambda: _diffuse_share("boland"), 0.06, "another way of parting hourly light",
          lambda: _diffuse_share(None)),
    Claim(LIBRARIES, "The same by an older way [-]", "pvlib: Orgill and Hollands 1977",
          lambda: _diffuse_share("orgill_hollands"), 0.03, "another way of parting hourly light",
          lambda: _diffuse_share(None)),
    Claim(LIBRARIES, "Mean of the year's cloudless noons [W/m²]", "pvlib: Ineichen and Perez 2002, turbidity 3",
          lambda: _clear_noons(False), lambda: 0.1 * _clear_noons(False), "10 %: clear air is not always as clear",
          lambda: _clear_noons(True), Naive("three quarters of the solar constant", lambda: 0.75 * 1361.0)),
    Claim(LIBRARIES, "Sums and means of a typical year, Greensboro", f"pvlib: {GREENSBORO}, read by it",
          lambda: _typical(GREENSBORO, True), 1e-9, "the same file", lambda: _typical(GREENSBORO, False)),
    Claim(LIBRARIES, "Sums and means of a typical year, Sand Point", f"pvlib: {SAND_POINT}, read by it",
          lambda: _typical(SAND_POINT, True), 1e-9, "the same file", lambda: _typical(SAND_POINT, False)),
    Claim(LIBRARIES, "A kWp on a roof in Greensboro [kWh a year]",
          "pvlib: its own model of a plant, losses of 14.0757 %", _chain_yield, lambda: 0.02 * _chain_yield(),
          "2 %: reflection of diffuse light and twilight differ", _roof_yield,
          Naive("without losses", lambda: _roof_yield() / 0.859243)),
)  # fmt: skip

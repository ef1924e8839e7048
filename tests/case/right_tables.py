"""Nothing in, one right table of every section out: what the tests of sections break on purpose."""

from __future__ import annotations

from typing import Any

from simkit.case.heating.boiler import AsOperated, Boiler, Carbon, Fuel, Hybrid
from simkit.case.heating.controls import Comfort, Controls, Emitters, Period, Span
from simkit.case.heating.heat_pump import HeatPump, Point
from simkit.case.heating.hot_water import HotWater, Hygiene
from simkit.case.heating.other_heat import RoomHeater, SolarThermal, Stove
from simkit.case.home.absence import Away, Guests
from simkit.case.home.home import Element, Home, Loss, Window
from simkit.case.home.household import Household
from simkit.case.home.rooms import Candidate, Emitter, Room
from simkit.case.home.site import Site
from simkit.case.home.ventilation import Ventilation
from simkit.case.home.weather import Columns, WeatherSource
from simkit.case.money.ledger import Credit, Item, Ledger
from simkit.case.money.money import Escalation, Measure, Money, Part, Service
from simkit.case.money.uncertainty import InputRange, Uncertainty
from simkit.case.power.battery import Battery
from simkit.case.power.car import Car
from simkit.case.power.solar import HorizonPoint, Losses, Solar, SolarArray
from simkit.schema.section import Section

SPAN: dict[str, Any] = {"from": "07:00", "to": "22:00", "days": "all"}
PERIOD = {**SPAN, "c": 21.0}
WINDOW = {"area_m2": 4.0, "azimuth_deg": 180.0, "tilt_deg": 90.0, "transmittance": 0.6, "shading": 0.7}
ELEMENT = {"name": "walls", "area_m2": 90.0, "u_w_per_m2k": 0.5, "glazing": False}
ARRAY = {"kwp": 3.6, "tilt_deg": 35.0, "azimuth_deg": 180.0}
LOSSES = {"dirt": 0.02, "shade": 0.03, "wiring": 0.05, "downtime": 0.03}
POINT = {"source_c": 7.0, "flow_c": 35.0, "capacity_kw": 7.0, "cop": 4.5}
HYGIENE = {"every": "week", "weekday": "sunday", "from": "13:00", "hours": 3.0, "target_c": 60.0}
SCHEDULE = {"periods": [PERIOD], "setback_c": 18.0}
ITEM = {"label": "outdoor unit", "amount": 9800.0, "date": "2026-03-01", "kind": "quote", "paid": False}
CREDIT = {"amount": 6000.0, "rate_per_year": 0.06, "first_payment": "2026-04-01", "years": 5.0}
PART = {"name": "outdoor unit", "of": "heat_pump", "cost": 4500.0, "life_years": 16.0, "age_years": 0.0}
MEASURE = {
    "name": "lower curve", "changes": ["controls.design_flow_c = 45.0"], "cost": 0.0, "life_years": 10.0,
    "bother": "an hour", "who": "you",
}  # fmt: skip
RISES = {"electricity_sd": 0.01, "fuel_sd": 0.02}
BESIDE = {**SPAN, "months": [11, 12, 1], "in_fuel_year": True, "goes_on": True}
STOVE = {
    **BESIDE, "kind": "stove", "burns": "wood", "amount": 3.0, "unit": "m3", "kwh_per_unit": 1750.0, "efficiency": 0.6,
    "reaches_rooms": 0.85, "price_per_unit": 90.0, "carbon_g_per_kwh": 28.0,
}  # fmt: skip
SERVICE = {"heat_pump": 150.0, "boiler": 120.0}

# One right table of every section; the keys that are left out are optional and tried on top.
RIGHT: dict[type[Section], dict[str, Any]] = {
    Span: SPAN,
    Stove: STOVE,
    Ventilation: {"n50": 6.0, "fresh_air_per_hour": 0.4, "fan_wh_per_m3": 0.4, "in_stated_loss": False},
    SolarThermal: {
        "heat_kwh": 1400.0, "tilt_deg": 40.0, "azimuth_deg": 180.0, "in_fuel_year": True, "goes_on": False,
    },
    RoomHeater: {**BESIDE, "kwh": 400.0},
    Period: PERIOD,
    Window: WINDOW,
    Room: {
        "name": "x", "loss_kw": 0.9, "kind": "radiators", "rated_kw": 1.4, "rated_at_k": 50.0,
        "candidate": [{"name": "y", "rated_kw": 2.0, "rated_at_k": 50.0, "price": 400.0}],
    },
    Candidate: {"name": "y", "rated_kw": 2.0, "rated_at_k": 50.0, "price": 400.0},
    Emitter: {"kind": "underfloor", "rated_kw": 0.8, "rated_at_k": 50.0},
    Element: ELEMENT,
    SolarArray: ARRAY,
    Losses: LOSSES,
    Point: POINT,
    Hygiene: HYGIENE,
    AsOperated: SCHEDULE,
    Columns: {"outdoor_c": "temperature"},
    Site: {
        "zone": "Europe/Dublin", "country": "IE", "latitude_deg": 53.0, "longitude_deg": -6.0, "altitude_m": 10.0,
        "year": 2025, "design_outdoor_c": -2.0,
    },
    WeatherSource: {"mean_c": [5.0] * 12, "daily_range_k": [7.0] * 12, "humidity": [0.8] * 12},
    Home: {
        "floor_area_m2": 110.0, "volume_m3": 275.0, "thermal_mass": "medium", "air_side_share": 0.3,
        "open_windows_above_c": 25.0, "window": [WINDOW], "loss": {"w_per_k": 180.0},
    },
    Loss: {"w_per_k": 180.0},
    Comfort: {**SCHEDULE, "tolerance_k": 0.5, "over_c": 26.0},
    Controls: {
        **SCHEDULE, "flow": "compensated", "design_flow_c": 45.0, "heating_limit_c": 16.0, "floor_c": 25.0,
        "ceiling_c": 60.0, "straight": False, "recovery_lift_k": 5.0, "mixing_penalty_k": 0.0,
        "room_influence": 0.0, "buffer_pump_w": 0.0, "buffer_l": 0.0, "design_flow_from_rooms": False,
    },
    Emitters: {
        "kind": "radiators", "rated_kw": 12.0, "exponent": 1.3, "water_difference_k": 5.0, "mass_share": 0.3,
        "stores": True, "water_l_per_kw": 11.0, "steel_kg_per_kw": 20.0, "screed_mm": 0.0, "covering_m2k_per_w": 0.0,
    },
    HeatPump: {
        "name": "invented", "regression": "staffell2012_air", "capacity_7_35_kw": 7.0, "source": "air",
        "minimum_share": 0.3, "highest_flow_c": 60.0, "lowest_outdoor_c": -20.0, "minimum_run_min": 0.0, "glycol_share": 0.0, "cycling_degradation": 0.9, "standby_w": 10.0,
        "pump_w": 50.0, "backup_kw": 0.0, "backup_below_c": 0.0, "efficiency_scale": 1.0, "efficiency_boundary": "h4",
    },
    HotWater: {
        "heated_by": "heating", "volume_l": 180.0, "target_c": 55.0, "hysteresis_k": 6.0, "sensor_height": 0.4, "standing_loss_w": 80.0,
        "coil_ua_w_per_k": 750.0, "loss_to_rooms": 0.6, "immersion_kw": 3.0, "immersion": "hygiene", "windows": [SPAN],
        "hygiene": HYGIENE, "litres_per_day_at_40": 120.0, "cold_water_c": 10.0, "cold_water_swing_k": 4.0, "draws_vary": True, "use_c": 40.0,
    },
    Boiler: {
        "space_efficiency": 0.85, "water_efficiency": 0.75, "capacity_kw": 20.0, "flow_c": 65.0, "pump_w": 80.0,
        "standby_w": 5.0, "as_operated": SCHEDULE,
    },
    Fuel: {
        "kind": "oil", "unit": "litre", "price_per_unit": 1.1, "kwh_per_unit": 10.35, "standing_per_day": 0.0,
        "other_use_kwh": 0.0, "carbon_g_per_kwh": 247.0,
    },
    Hybrid: {"boiler_below_c": -2.0, "by_price": False},
    Away: {"first": "02-10", "last": "02-16", "c": 14.0, "warm_again_h": 24.0, "water_share": 0.0, "use_share": 0.3},
    Guests: {"first": "12-24", "last": "01-02", "people": 2.0},
    Household: {
        "annual_kwh": 3000.0, "profile": "mean", "heat_share": 0.8, "people": 2.0, "heat_per_person_w": 60.0,
    },
    Car: {
        "km_per_week": 220.0, "kwh_per_100_km": 21.0, "charger_kw": 7.4, "from": "23:00", "to": "07:00", "days": "all",
        "charging": "at_once",
    },
    Carbon: {"electricity_g_per_kwh": 252.0, "source": "invented"},
    Solar: {
        "array": [ARRAY], "inverter_kw": 3.6, "losses": LOSSES, "age_years": 0.0, "ageing_per_year": 0.005,
    },
    HorizonPoint: {"azimuth_deg": 135.0, "height_deg": 12.0},
    Battery: {
        "coupling": "ac",
        "usable_kwh": 8.0, "charge_kw": 3.5, "discharge_kw": 3.5, "charge_efficiency": 0.95,
        "discharge_efficiency": 0.95, "idle_w": 15.0, "reserve_share": 0.1, "wear_per_kwh": 0.0, "store_surplus": True,
        "charge_to": 1.0, "fill_by": "share", "fade_per_year": 0.015, "fade_per_cycle": 0.00003, "age_years": 0.0,
        "cycles_done": 0.0,
    },
    Uncertainty: {
        "installation_sd": 0.13, "price_sd": 0.1, "set_point_sd_k": 0.5, "boiler_efficiency_sd": 0.04,
        "heat_loss_sd": 0.15, "certificate_sd": 0.35, "fuel_amount_sd": 0.05, "weather_sd_k": 0.6, "draws_sd": 0.2, "stove_sd": 0.25, "lanes": 64, "seed": 1,
    },
    InputRange: {"of": "fuel_price", "shape": "uniform", "low": 0.9, "high": 1.3, "reason": "a contract ends"},
    Item: ITEM,
    Credit: CREDIT,
    Ledger: {"item": [ITEM]},
    Part: PART,
    Measure: MEASURE,
    Escalation: RISES,
    Service: SERVICE,
    Money: {
        "start": "2026-01-01", "horizon_years": 20, "terms": "real", "discount_rate": 0.035, "inflation": 0.02,
        "savings_rate": 0.0, "degradation_per_year": 0.005, "residual": "none", "carbon_decline_per_year": 0.0,
        "escalation": RISES, "service": SERVICE,
    },
}  # fmt: skip

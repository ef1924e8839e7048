"""A field and a value it refused in, the words that help out: bounds, examples, and the unit that was meant.

A number outside its bounds is most often right in another unit. If it falls inside them once it is converted, the
message says so and gives the number to write.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from annotated_types import Ge, Le
from pydantic.fields import FieldInfo

from simkit.physics.constants import KELVIN, MJ_PER_KWH

SQUARE_FEET_PER_M2 = 10.7639  # international foot of 0.3048 m
FEET_PER_M = 3.28084  # international foot of 0.3048 m


# A unit that is easily taken for another: value in ours = given × factor + offset, and what to say of it. Tried in this
# order; the first that lands inside the bounds is proposed.
SLIPS: Mapping[str, tuple[tuple[float, float, str], ...]] = {
    "share": ((0.01, 0.0, "It is a share, not per cent"),),
    "kW": ((1e-3, 0.0, "It is in kW, not W"), (1 / 3412.14, 0.0, "It is in kW, not BTU/h")),
    "W": ((1e3, 0.0, "It is in W, not kW"),),
    "W/K": ((1e3, 0.0, "It is in W/K, not kW/K"),),
    "°C": ((5 / 9, -160 / 9, "It is in °C, not °F"), (1.0, -KELVIN, "It is in °C, not kelvin")),
    "K": ((5 / 9, 0.0, "It is in kelvin, not in steps of °F"),),
    "litres": ((1e3, 0.0, "It is in litres, not m³"),),
    "m³": ((1e-3, 0.0, "It is in m³, not litres"), (1 / 35.3147, 0.0, "It is in m³, not cubic feet")),
    "m²": ((1e-4, 0.0, "It is in m², not cm²"), (1 / SQUARE_FEET_PER_M2, 0.0, "It is in m², not square feet")),
    "m": ((1 / FEET_PER_M, 0.0, "It is in m, not feet"),),
    "kWh": ((1e-3, 0.0, "It is in kWh, not Wh"), (1e3, 0.0, "It is in kWh, not MWh")),
    "kWp": ((1e-3, 0.0, "It is in kWp, not Wp"),),
    "kWh/m²": ((1 / MJ_PER_KWH, 0.0, "It is in kWh/m², not MJ/m²"), (1e-3, 0.0, "It is in kWh/m², not Wh/m²")),
    "kWh per unit": ((1 / MJ_PER_KWH, 0.0, "It is in kWh, not MJ"), (1e-3, 0.0, "It is in kWh, not Wh")),
    "g/kWh": ((1e3, 0.0, "It is in g/kWh, not kg/kWh"),),
    "h": ((1 / 60, 0.0, "It is in hours, not minutes"),),
    "min": ((60.0, 0.0, "It is in minutes, not hours"), (1 / 60, 0.0, "It is in minutes, not seconds")),
    "currency per kWh": (
        (0.01, 0.0, "It is in whole units of the currency for a kWh, not hundredths"),
        (1e-3, 0.0, "It is in whole units of the currency for a kWh, not a price for a MWh"),
    ),
    "currency per unit": ((0.01, 0.0, "It is in whole units of the currency, not hundredths"),),
    "currency per day": (
        (0.01, 0.0, "It is in whole units of the currency for a day, not hundredths"),
        (1 / 365, 0.0, "It is in whole units of the currency for a day, not a price for a year"),
    ),
}


def words_for(field: FieldInfo) -> Mapping[str, Any]:
    """What a field carries for messages: its unit, its meaning, and the bounds of a monthly list."""
    extra = field.json_schema_extra
    return extra if isinstance(extra, dict) else {}


def bounds_of(field: FieldInfo) -> tuple[float, float] | None:
    """Lowest and highest value of a number, or of each number of a monthly list."""
    low = next((rule.ge for rule in field.metadata if isinstance(rule, Ge)), None)
    high = next((rule.le for rule in field.metadata if isinstance(rule, Le)), None)
    if low is not None and high is not None:
        return float(low), float(high)  # type: ignore[arg-type]
    extra = words_for(field)
    return (float(extra["low"]), float(extra["high"])) if "low" in extra else None


def unit_of(field: FieldInfo) -> str:
    """Unit of a number as messages write it; "share" for shares, empty for none."""
    return str(words_for(field).get("unit", ""))


def meaning_of(field: FieldInfo) -> str:
    """Meaning of a field as it stands within a sentence."""
    meaning = str(words_for(field).get("meaning", ""))
    return meaning[:1].lower() + meaning[1:] if meaning[1:2].islower() or meaning[1:2] == " " else meaning


def span_of(field: FieldInfo) -> str:
    """Bounds with their unit: ``35 to 75 °C``."""
    bounds = bounds_of(field)
    if bounds is None:
        return "what is allowed"
    unit = unit_of(field)
    behind = "" if unit in ("", "share") else unit if unit == "°" else f" {unit}"
    return f"{neat(bounds[0])} to {neat(bounds[1])}{behind}"


def example_of(field: FieldInfo) -> Any:
    """A value that a message may propose; one element for a monthly list is asked for by its caller."""
    return field.examples[0] if field.examples else "..."


def neat(value: float) -> str:
    """Write a number without exponent and without needless digits."""
    if isinstance(value, int):
        return str(value)
    if not math.isfinite(value):
        return str(value)
    rounded = float(f"{value:.6g}")
    return str(int(rounded)) if rounded == int(rounded) and abs(rounded) < 1e15 else format(Decimal(repr(rounded)), "f")


def shown(value: Any) -> str:
    """Write a value as it would stand in the file, shortened."""
    if isinstance(value, str):
        text = '"' + value.replace("\n", " ") + '"'
    elif isinstance(value, bool):
        text = "true" if value else "false"
    elif value is None:
        text = "nothing"
    elif isinstance(value, Mapping):
        text = "{ " + ", ".join(f"{key} = {shown(element)}" for key, element in value.items()) + " }" if value else "{}"
    elif isinstance(value, list | tuple):
        text = "[" + ", ".join(shown(element) for element in value) + "]"
    elif isinstance(value, int) and abs(value) > 1e300:  # a file may hold more digits than a binary number
        text = f"{Decimal(value):.2e}"
    elif isinstance(value, int | float):
        text = neat(value) if abs(value) < 1e15 or not math.isfinite(value) else f"{value:.3g}"
    else:
        text = str(value)
    return text if len(text) <= 100 else f"{text[:97]}..."


def out_of_bounds(key: str, value: float, field: FieldInfo) -> str:
    """What to do about a number outside its bounds."""
    bounds = bounds_of(field)
    if bounds is None:
        return f"Write a value such as {shown(_one_example(field))}"
    low, high = bounds
    for factor, offset, sentence in SLIPS.get(unit_of(field), ()):
        converted = value * factor + offset
        if low <= converted <= high and converted != 0:
            return f"{sentence}: write {neat(float(f'{converted:.4g}'))}"
    if key.startswith("azimuth") and -180 <= value < 0:
        east, south = neat(360 + value), neat(180 + value)
        return f"It is counted from north over east, 180 is south: write {east}, or {south} if you counted from south"
    return f"Write a value within these bounds, such as {shown(_one_example(field))}"


def _one_example(field: FieldInfo) -> Any:
    example = example_of(field)
    return example[0] if isinstance(example, list) and example else example


def wrong_kind(key: str, value: Any, field: FieldInfo, why: str) -> tuple[str, str]:
    """What is allowed and what to do where something else stands for a number."""
    bounds = f" from {span_of(field)}" if bounds_of(field) else ""
    whole = "whole number" if field.annotation is int or "int" in str(field.annotation) else "number"
    wanted = f"a {whole}{bounds} is wanted{why}"
    example = f"Write a {whole} such as {shown(_one_example(field))}"
    if isinstance(value, bool):
        return f"is a switch, and {wanted}", example
    if isinstance(value, str):
        return f"is text, and {wanted}", _number_in(key, value, field) or example
    if isinstance(value, float) and not math.isfinite(value):
        return f"is no usable number, and {wanted}", example
    if isinstance(value, float):
        return f"is written with a decimal point, and {wanted}", f"Write {round(value)}"
    if isinstance(value, list):
        return f"is a list, and {wanted}", "Write one number without brackets"
    return f"is no number, and {wanted}", example


def _number_in(key: str, value: str, field: FieldInfo) -> str | None:
    """What to do about text that holds a number."""
    match = re.fullmatch(r"\s*([-+]?\d+(?:[.,]\d+)?)\s*(.*?)\s*", value)
    if match is None:
        return None
    number = float(match[1].replace(",", "."))
    if unit_of(field) == "°" and match[2].lower() in ("w", "west", "s", "south"):
        return f"West and south are negative, without quotes: {key} = {neat(-abs(number))}"
    if match[2] == "%" and unit_of(field) == "share":
        return f"It is a share: write {key} = {neat(number / 100)}"
    unit = unit_of(field)
    alone = f", in {unit}" if match[2] and unit not in ("", "share", "°") else ""
    return f"Write the number alone, without quotes{alone}: {key} = {neat(number)}"


def time_hint(key: str, value: str, field: FieldInfo, why: str) -> tuple[str, str]:
    """What is allowed and what to do where text isn't written as it should be: a time of day, or a clock."""
    example = shown(example_of(field))
    if not (value.strip() and value.isprintable()):
        return f"is blank, or holds a character that can't be seen{why}", f"Write for example {key} = {example}"
    if key not in ("from", "to"):
        return f"is not written as it should be{why}", f"Write for example {key} = {example}"
    end = "24:00" if key == "to" else "23:59"
    allowed = f'is not a time of day "HH:MM" from "00:00" to "{end}"{why}'
    match = re.fullmatch(r"\s*(\d{1,2})(?:[:.h](\d{2}))?(?::00)?\s*(am|pm)?\s*", value.lower())
    if match:
        hour, minute = int(match[1]), int(match[2] or 0)
        if match[3]:
            hour = hour % 12 + (12 if match[3] == "pm" else 0)
        if hour < 24 and minute < 60:
            return allowed, f'Write {key} = "{hour:02d}:{minute:02d}"'
        if hour == 24 and minute == 0 and key == "from":
            return allowed, 'Midnight at which something begins is written "00:00"'
    return allowed, f"Write two digits for the hour and for the minute: {key} = {example}"

"""The table of a file in; the same with keys and words that have a new name under it, and a note for each, out.

The one place that knows old keys and old words. A file that holds one is read as if it held the new one.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

RENAMED = {
    "as_lived": "as_operated",
    "boiler.lived": "boiler.as_operated",
    "boiler.lived.otherwise_c": "boiler.as_operated.setback_c",
    "boiler.as_operated.otherwise_c": "boiler.as_operated.setback_c",
    "comfort.otherwise_c": "comfort.setback_c",
    "controls.otherwise_c": "controls.setback_c",
    "controls.no_heat_c": "controls.heating_limit_c",
    "controls.room_correction": "controls.room_influence",
    "heat_pump.degradation": "heat_pump.cycling_degradation",
    "hot_water.cold_feed_c": "hot_water.cold_water_c",
    "hot_water.cold_feed_swing_k": "hot_water.cold_water_swing_k",
    "battery.floor": "battery.reserve_share",
    "battery.fill_to": "battery.charge_to",
    "tariff.extra_slots": "tariff.granted",
}
RENAMED_WORDS = {  # what a key may hold, by its path
    "car.charging": {"plain": "at_once", "smart": "by_price"},
    "household.profile": {"bdew_h0": "mean"},
}
CHANGE = re.compile(r"^(\s*)([A-Za-z_][\w.]*)(\s*=\s*)(.*)$", re.DOTALL)  # such as: controls.design_flow_c = 51.0


def with_new_names(stated: Mapping[str, Any], path: str = "") -> tuple[Mapping[str, Any], tuple[str, ...]]:
    """Give every key of a case or tariff file its present name, and every word that a key may hold.

    Parameters
    ----------
    stated
        The table as it stands in the file, with its options and the lines that measures change.
    path
        Where the table stands: empty for a case, ``tariff`` for a tariff.

    Returns
    -------
    tuple
        The table (the same object where nothing in it has an old name), and a note for each old key that was found.
        A table that holds both names keeps the old one too, which is then refused as unknown.
    """
    found: dict[str, str] = {}
    table = _renamed(stated, path, found)
    notes = tuple(
        f"{old} is now called {new}: it was read as that. Change it in the file." for old, new in found.items()
    )
    return (table if found else stated), notes


def _renamed(value: Any, path: str, found: dict[str, str]) -> Any:
    """One table, list or text under its dotted path, with new names; every old one is added to `found`."""
    if isinstance(value, list):
        return [_renamed(element, "" if path == "option" else path, found) for element in value]
    if isinstance(value, str):
        is_line = path.endswith("measure.changes")
        return CHANGE.sub(lambda line: _new_line(line, found), value) if is_line else _new_word(path, value, found)
    if not isinstance(value, Mapping):
        return value
    table: dict[str, Any] = {}
    for key, held in value.items():
        whole = f"{path}.{key}" if path else key
        new = RENAMED[whole].rpartition(".")[2] if whole in RENAMED else key
        if new != key and new in value:
            new = key
        elif new != key:
            found[whole] = RENAMED[whole]
        table[new] = _renamed(held, whole, found)
    return table


def _new_word(path: str, word: str, found: dict[str, str]) -> str:
    """What a key holds, under its present word."""
    new = RENAMED_WORDS.get(path, {}).get(word)
    if new is None:
        return word
    found[f'{path} = "{word}"'] = f'{path} = "{new}"'
    return new


def _new_line(line: re.Match[str], found: dict[str, str]) -> str:
    """A line that a measure changes, its key and its word under their present names."""
    path, held = line[2], line[4]
    parts = path.split(".")
    for count in range(len(parts), 0, -1):  # the longest beginning that has another name
        old = ".".join(parts[:count])
        if old in RENAMED:
            found[old] = RENAMED[old]
            path = ".".join([RENAMED[old], *parts[count:]])
            break
    word = held.strip().strip("\"'")
    return f"{line[1]}{path}{line[3]}{held.replace(word, _new_word(path, word, found)) if word else held}"

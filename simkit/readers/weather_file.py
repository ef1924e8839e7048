"""A weather file of any form read here in; its series in our names, and what was found, out."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pandas as pd

from simkit.errors import DataError, Fault
from simkit.readers.epw import read_epw
from simkit.readers.found import Found
from simkit.readers.plain_csv import read_plain
from simkit.readers.pvgis import read_pvgis
from simkit.readers.series import Place
from simkit.readers.text_file import read_text
from simkit.readers.tmy3 import read_tmy3

KINDS = {"epw": "an EPW file", "tmy3": "a TMY3 file", "pvgis": "a typical year from PVGIS", "csv": "a plain table"}


def format_of(text: str) -> str:
    """Tell the format from the text itself: ``epw``, ``tmy3``, ``pvgis`` or ``csv``; names of files are not asked."""
    first, _, rest = text.lstrip().partition("\n")
    if first.upper().startswith("LOCATION,"):
        return "epw"
    if rest.lstrip('"').startswith("Date (MM/DD/YYYY)"):
        return "tmy3"
    if "time(UTC)," in text[:3000]:
        return "pvgis"
    return "csv"


def read_weather(
    path: Path | str,
    *,
    source: Any = None,
    zone: str | None = None,
    place: Place | None = None,
) -> tuple[pd.DataFrame, Found]:
    """Read a weather file.

    Parameters
    ----------
    path
        The file.
    source
        The case's weather: `format` (found from the content when None), `bridge_hours`, and for a plain table `label`,
        `clock` and `columns`. None reads the formats that explain themselves.
    zone
        Zone for a plain table in local time.
    place
        Latitude, longitude [deg] and altitude [m], for files that don't say where they are from.

    Returns
    -------
    frame
        Means over steps, indexed by step starts in UTC.
    found
        What was found.
    """
    name, text = Path(path).name, read_text(path)
    seen, said = format_of(text), getattr(source, "format", None)
    kind = said or seen
    if said is not None and seen not in (said, "csv"):
        remedy = f'Write format = "{seen}", or name the right file'
        raise DataError(Fault(name, f'format = "{said}"', f"is said, and the file is {KINDS[seen]}", remedy))
    bridge = int(getattr(source, "bridge_hours", None) or 0)
    if kind == "csv":
        return _plain(path, text, source, zone=zone, place=place)
    if kind == "epw":
        return read_epw(path, bridge_hours=bridge, text=text)
    if kind == "tmy3":
        return read_tmy3(path, bridge_hours=bridge, text=text)
    return read_pvgis(path, bridge_hours=bridge, text=text)


def _plain(
    path: Path | str, text: str, source: Any, *, zone: str | None, place: Place | None
) -> tuple[pd.DataFrame, Found]:
    lacking = [key for key in ("label", "clock", "columns") if getattr(source, key, None) is None]
    if lacking:
        name = Path(path).name
        allowed = f"is a plain table or no weather at all, and [weather] doesn't say its {', '.join(lacking)}"
        remedy = (
            'Say label = "start", "middle" or "end", clock = "utc", "local" or "+01:00", and columns = {outdoor_c = ..}'
        )
        raise DataError(Fault(name, "the file", allowed, remedy))
    return read_plain(
        path,
        columns=source.columns,
        label=source.label,
        clock=source.clock,
        zone=zone,
        place=place,
        bridge_hours=int(getattr(source, "bridge_hours", None) or 0),
        text=text,
    )

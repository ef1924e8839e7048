"""A comparison in; one self-contained HTML page out: answer, picture, table, bills, months, performance, notes.

Nothing on the page is fetched from anywhere, and all of its text can be selected. The page is the same, byte for byte,
for the same case and version.
"""

from __future__ import annotations

import base64
import re
from importlib.metadata import version
from typing import Any

from simkit.reporting.grid import Grid
from simkit.reporting.on_page import templates
from simkit.reporting.pictures import Picture

THOUSANDS = re.compile(r"(?<=\d),(?=\d{3}(?!\d))")
NARROW_SPACE = "\u202f"


def rendered(template: str, content: dict[str, Any]) -> str:
    """Fill a template with texts, tables and pictures; the whole HTML document, which fetches nothing."""
    made_by = {"version": version("home-heat-simkit")}
    return templates().get_template(template).render(spaced(content) | made_by) + "\n"


def spaced(value: Any) -> Any:
    """Write thousands with a narrow space, as the pictures do: a comma is a decimal point to half of the readers."""
    if isinstance(value, str):
        return THOUSANDS.sub(NARROW_SPACE, value)
    if isinstance(value, dict):
        return {key: spaced(element) for key, element in value.items()}
    if isinstance(value, Picture):
        return {"data": base64.b64encode(value.svg).decode(), "sentence": spaced(value.sentence)}
    if isinstance(value, Grid):
        return vars(value) | {"titles": spaced(value.titles), "rows": spaced(value.rows)}
    return [spaced(element) for element in value] if isinstance(value, list | tuple) else value

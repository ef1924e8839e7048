"""Nothing in; a table of clients to fill in, with one invented home, out."""

from __future__ import annotations

from simkit.clients.heads import PLAIN

EXAMPLE = ("Amber Lane 3", "estuary_bungalow", "118", "1750 litres", "estuary_flat", "11200", "8")


def template() -> str:
    """A CSV file with a remark on every column, a head and an invented row."""
    remarks = [f"# {head}: {meaning}" for head, meaning in PLAIN.items()]
    more = "# A further column may be any key of a case file, such as controls.design_flow_c or household.people."
    return "\n".join([*remarks, more, ",".join(PLAIN), ",".join(EXAMPLE)]) + "\n"

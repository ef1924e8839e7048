"""`simkit diagnose`: nothing in; whether this installation computes what it should, and what it is made of, out."""

from __future__ import annotations

import typer

from simkit.commands.outputs import Json, show_answer

UNSOUND = 1


def diagnose(json: Json = False) -> None:
    """Check this installation, for a report of a fault.

    The sample homes are simulated and held against the results stored with this version; versions, cache and speeds
    stand beside them. Exit code 1 where a result differs.
    """
    from simkit.year.diagnosis import diagnose as look

    found = look()
    show_answer(found.answer(), json=json)
    raise typer.Exit(0 if found.sound else UNSOUND)

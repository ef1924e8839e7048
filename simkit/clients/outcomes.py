"""What became of each row of a table of clients, and of all of them."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Any

from simkit.answered import Answered
from simkit.errors import Fault


@dataclass(frozen=True)
class Outcome:
    """What became of a row.

    Attributes
    ----------
    name, line
        Whose it is, and where it stands.
    record
        What its report came to; None where there is none.
    faults
        Why there is none.
    kept
        Whether its report was there already.
    """

    name: str
    line: int
    record: dict[str, Any] | None
    faults: tuple[Fault, ...] = ()
    kept: bool = False


@dataclass(frozen=True, eq=False, repr=False)
class Clients(Answered):
    """What became of every row of a table.

    Attributes
    ----------
    table, folder
        The file, and where the reports are.
    outcomes
        One for each row, in the order of the table.
    """

    answered_by = "simkit.clients.answer:clients_answer"
    table: Path
    folder: Path
    outcomes: tuple[Outcome, ...]

    @property
    def faults(self) -> tuple[Fault, ...]:
        """What is wrong with rows that have no report."""
        return tuple(fault for outcome in self.outcomes for fault in outcome.faults)

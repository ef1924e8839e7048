"""How much is read at most: every bound on the size of an input stands here (that of a message in `simkit.errors`).

All are own: ten times and more what any home, meter or weather file met so far holds, and little enough that a file
made to do harm is refused within a second and some hundred megabytes, before it is parsed.
"""

from __future__ import annotations

from pathlib import Path

TABLE_BYTES = 60_000_000  # thirty years of half-hours in the wordiest layout met
TABLE_ROWS = 2_000_000  # a minute's row for nearly four years
TABLE_COLUMNS = 2_000  # a day of half-hours in a row has about a hundred
TABLE_CELLS = 30_000_000
LINE_CHARACTERS = 100_000
TOML_BYTES = 1_000_000  # a case of a home is a few kilobytes
TOML_LINE_CHARACTERS = 10_000
CHANGE_CHARACTERS = 500  # a line that a measure changes
TOML_NESTING = 12  # the deepest key of a case is five tables down
TOML_DOTS = 60  # names in a row with dots between them: prose has fewer, and the parser takes minutes over thousands
LIST_LENGTH = 1_000
WHOLE_NUMBER = 10**15  # whole numbers above it are not exact in arithmetic any more
OPTIONS = 100
HOMES = 5_000_000  # rows of a long table of homes; a million of a few columns are about 100 MB
HOMES_BYTES = 2_000_000_000
CLIENTS = 1_000  # rows of a table of clients; a report on each takes seconds
NOTEBOOK_BYTES = 20_000_000  # a notebook of the lesson with its pictures is about a megabyte
NOTEBOOKS = 1_000  # of one class


def unreadable(path: Path, most_bytes: int) -> str:
    """Why a file can't be read whole, said before anything of it is read: empty where it can be."""
    try:
        size = path.stat().st_size
        if path.is_dir():
            return "is a folder, and a file is needed"
        if not path.is_file():  # reading it might wait for ever
            return "is a pipe or a device, and a file is needed"
        with path.open("rb"):
            return f"holds {size / 1e6:,.0f} MB, far more than is read" if size > most_bytes else ""
    except (OSError, ValueError) as error:  # ValueError for a name with a zero byte
        return f"can't be read ({(getattr(error, 'strerror', None) or 'the name is none').lower()})"

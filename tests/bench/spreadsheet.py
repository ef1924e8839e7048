"""A year of hours in a spreadsheet, recalculated by LibreOffice without a screen, against the kernel; needs both.

Usage: python tests/bench/spreadsheet.py

A row a step with a sheet's share of the laws: compensated flow, emitters, Carnot, cycling and one room temperature that
follows from the row before; some ten formulas where a step of the kernel takes some hundreds. What a sheet of plain
numbers of that size takes to read and to write is taken off.
"""

from __future__ import annotations

import resource
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

import openpyxl

sys.path.insert(0, str(Path(__file__).parents[1]))
sys.path.insert(0, str(Path(__file__).parent))

from homes import inputs, setting
from run import best, everything_on, kernel_once

FORMULAS = (  # A outdoor, B room; by row {0}, and the row before {1}
    "=MAX(0,(16-A{0})/(16+8))",
    "=IF(C{0}>0,C{0}^(1/1.3),0)",
    "=20+30*D{0}",
    "=MIN(8,10*(MAX(E{0}-B{1},0)/50)^1.3)",
    "=(E{0}+273.15)/MAX(15,E{0}-A{0})",
    "=IF(F{0}>=2,1,F{0}/(0.9*F{0}+0.2))",
    "=IF(F{0}>0,F{0}/(0.45*G{0}*H{0}),0)",
    "=I{0}*IF(MOD(ROW(),24)<7,0.18,0.31)",
)
ROOM = "=B{1}+(F{1}+0.4-0.2*(B{1}-A{1}))/12"


def sheet(path: Path, steps: int, *, formulas: bool) -> None:
    """A sheet of so many steps, of formulas or of numbers."""
    book = openpyxl.Workbook(write_only=True)
    rows = book.create_sheet()
    for row in range(1, steps + 1):
        outdoor, before = 8.0 + 7.0 * ((row * 37) % 100 - 50) / 50.0, max(row - 1, 1)
        if formulas:
            room = 20.0 if row == 1 else ROOM.format(row, before)
            rows.append([outdoor, room, *(one.format(row, before) for one in FORMULAS)])
        else:
            rows.append([outdoor, 20.0 + 0.001 * row, *(outdoor * k + 0.1 for k in range(len(FORMULAS)))])
    book.save(path)


def recalculated(path: Path) -> float:
    """Processor time of reading, recalculating and writing a sheet [s]."""
    profile = f"-env:UserInstallation=file://{path.parent}/profile"
    words = [str(shutil.which("soffice")), profile, "--headless", "--convert-to", "xlsx", "--outdir"]
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    subprocess.run([*words, str(path.parent / "out"), str(path)], check=True, capture_output=True)
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    return after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime


def main() -> None:
    """Print the ratio."""
    case = everything_on()
    axis = setting(case).axis
    year = best(kernel_once(inputs(case), axis.steps, axis.hours), 15)
    with tempfile.TemporaryDirectory() as held:
        taken = {}
        for formulas in (False, True, False, True):  # the first begins a profile
            path = Path(held) / f"{formulas}.xlsx"
            sheet(path, axis.steps, formulas=formulas)
            taken[formulas] = recalculated(path)
        worked = openpyxl.load_workbook(Path(held) / "out" / "True.xlsx", data_only=True, read_only=True)
        last = next(worked.worksheets[0].iter_rows(min_row=axis.steps, values_only=True))
    sheets = taken[True] - taken[False]
    print(
        f"a year of {axis.steps:,} rows, {1 + len(FORMULAS)} formulas each: {sheets:.2f} s; last room {last[1]:.1f} °C"
    )
    print(f"the kernel's year, everything on: {1e3 * year:.2f} ms; the sheet takes {sheets / year:,.0f} times as long")


if __name__ == "__main__":
    main()

"""The same laws written as formulas of a spreadsheet, worked out by LibreOffice, beside what the kit gives for them."""

from __future__ import annotations

import shutil
import subprocess
from pathlib import Path

import numpy as np
import pytest

from simkit.finance.cash import even_amount, periods_to_repay, present_value, return_rate
from simkit.physics.emitters import curve_shape, curve_share, emitter_kw
from simkit.physics.heat_pump import carnot, cycling_factor
from simkit.physics.hot_water import content_kwh
from simkit.weather.damp import vapour_hpa
from simkit.weather.degree_days import from_extremes

openpyxl = pytest.importorskip("openpyxl")
SOFFICE = shutil.which("soffice")
OUTDOOR_C = np.arange(-12.0, 24.0, 0.75).tolist()
FLOWS = (-9000.0, 1200.0, 1350.0, 1500.0, 2100.0, 2600.0, 3100.0)
# By column: the formula of a row, its outdoor temperature in A, and the kit's own value there.
LAWS = {
    "share of the load": ("=MAX(0,(16-A{0})/(16+8))", lambda t: curve_share(t, 16.0, -8.0)),
    "bend of the curve": ("=IF(B{0}>0,B{0}^(1/1.3),0)", lambda t: curve_shape(curve_share(t, 16.0, -8.0), 1.3)),
    "heat of the radiators": ("=10*(30*C{0}/50)^1.3",
                              lambda t: emitter_kw(10.0, 1.3, 30.0 * curve_shape(curve_share(t, 16.0, -8.0), 1.3))),
    "COP of Carnot to 45 °C": ("=(45+273.15)/(45-A{0})", lambda t: carnot(45.0, 45.0 - t)),
    "loss by cycling": ("=IF(B{0}>=1,1,B{0}/(0.9*B{0}+0.1))",
                        lambda t: cycling_factor(min(curve_share(t, 16.0, -8.0), 1.0), 0.9) if t < 16.0 else 0.0),
    "saturated vapour": ("=6.1094*EXP(17.625*A{0}/(A{0}+243.04))", lambda t: float(vapour_hpa(np.array(t)))),
    "degree-days, 4 K to each side": (
        "=IF(A{0}-4>15.5,0,IF(A{0}>15.5,(15.5-A{0}+4)/4,IF(A{0}+4>=15.5,(15.5-A{0}+4)/2-(A{0}+4-15.5)/4,15.5-A{0})))",
        lambda t: float(from_extremes(t + 4.0, t - 4.0, 15.5)),
    ),
    "heat of a layered cylinder": ("=0.2*(0.6*(40+A{0})+0.4*A{0})", lambda t: content_kwh(40.0 + t, t, 0.6, 0.2)),
}  # fmt: skip
MONEY = {
    "=NPV(0.035,B2:B7)+B1": lambda: present_value(0.035, FLOWS),
    "=IRR(B1:B7)": lambda: return_rate(FLOWS).rate,
    "=-PMT(0.035,15,9000)": lambda: even_amount(0.035, 15, 9000.0),
    "=NPER(0.005,-150,9000)": lambda: periods_to_repay(0.005, 150.0, 9000.0),
}


def written(path: Path) -> None:
    book = openpyxl.Workbook()
    sheet, money = book.active, book.create_sheet("money")
    for row, outdoor in enumerate(OUTDOOR_C, 1):
        sheet.append([outdoor, *(formula.format(row) for formula, _ in LAWS.values())])
    for row, amount in enumerate(FLOWS, 1):
        money[f"B{row}"] = amount
    for row, formula in enumerate(MONEY, 1):
        money[f"A{row}"] = formula
    book.save(path)


def test_a_spreadsheet_of_the_same_laws_gives_the_same(tmp_path: Path) -> None:
    if SOFFICE is None:
        pytest.skip("no LibreOffice here (apt-get install libreoffice-calc-nogui)")
    written(tmp_path / "laws.xlsx")
    command = [SOFFICE, f"-env:UserInstallation=file://{tmp_path}/profile", "--headless", "--convert-to", "xlsx"]
    command += ["--outdir", str(tmp_path / "out"), str(tmp_path / "laws.xlsx")]
    subprocess.run(command, check=True, capture_output=True, timeout=300)
    book = openpyxl.load_workbook(tmp_path / "out" / "laws.xlsx", data_only=True)
    worked = np.array([row[1:] for row in book.worksheets[0].iter_rows(values_only=True)], dtype=float)
    for column, (name, (_, law)) in enumerate(LAWS.items()):
        np.testing.assert_allclose(worked[:, column], [law(t) for t in OUTDOOR_C], rtol=1e-11, atol=1e-12, err_msg=name)
    found = [book["money"][f"A{row}"].value for row in range(1, len(MONEY) + 1)]
    np.testing.assert_allclose(found, [kit() for kit in MONEY.values()], rtol=1e-9)

"""What `simkit worth --years` prints; every figure of it recomputed from the printed yearly tables alone."""

from __future__ import annotations

import re
from pathlib import Path

import numpy as np
import numpy_financial as npf
import pytest

from commands.conftest import Ask

OLD, CHEAP, DEAR = "Oil boiler, same comfort", "Heat pump, as installed", "Two fan convectors"
RATE, YEARS = 0.035, 20
# Each printed amount is rounded to a whole one: half a unit in every year, worth today 0.5 x 15.2; twice in a difference.
SUM_TOLERANCE = 0.5 * (1 + (1 - 1.035**-20) / 0.035)


class Printed:
    """A page of the terminal, read as somebody with a pencil would."""

    def __init__(self, out: str) -> None:
        self.lines = out.splitlines()
        self.words = " ".join(out.split())

    def years(self, name: str) -> dict[str, np.ndarray]:
        """Columns of the yearly table of an option."""
        first = next(k for k, line in enumerate(self.lines) if line.startswith(name) and "by year" in line)
        titles = self.lines[first + 2].replace("CO2 kg", "CO2").split()
        rows = [line.replace(",", "").split() for line in self.lines[first + 3 : first + 4 + YEARS]]
        return dict(zip(titles, np.array(rows, dtype=np.float64).T, strict=True))

    def row(self, name: str, nth: int = 0) -> list[float]:
        """Figures of the nth line of a table that begins with a name."""
        lines = [line for line in self.lines if re.match(rf"{re.escape(name)} +[-+\d]", line)]
        return [float(number.replace(",", "")) for number in re.findall(r"[-+]?[\d,]*\.?\d+", lines[nth][len(name) :])]

    def said(self, pattern: str) -> list[float]:
        """Figures of a sentence."""
        found = re.search(pattern, self.words)
        assert found is not None, pattern
        return [float(number.replace(",", "")) for number in found.groups()]


@pytest.fixture
def page(ask: Ask, bungalow: Path) -> Printed:
    return Printed(
        ask("worth", bungalow, "--no-range", "--years", "--against", OLD, "--offer", CHEAP, "--offer", DEAR).out
    )


def test_every_figure_from_the_printed_tables(page: Printed) -> None:
    old = page.years(OLD)
    for name in (CHEAP, DEAR):
        mine = page.years(name)
        columns = [key for key in mine if key not in ("Year", "total", "today", "CO2")]
        assert np.abs(sum(mine[key] for key in columns) - mine["total"]).max() <= 0.5 * (len(columns) + 1)
        _price, first, even, per_kwh = page.row(name)
        whole = npf.npv(RATE, mine["total"])
        assert mine["today"].sum() == pytest.approx(whole, abs=SUM_TOLERANCE)
        assert first == pytest.approx(mine["total"][1], abs=1)
        assert even == pytest.approx(-npf.pmt(RATE, YEARS, whole), abs=1.1)

        heat, share = page.said(
            rf"{name} EUR by year.*?Heat of a year ([\d,]+) kWh. Household and car take ([\d.]+)% of"
        )
        heating = whole - share / 100 * npf.npv(RATE, mine["power"])
        assert per_kwh == pytest.approx(-npf.pmt(RATE, YEARS, heating) / heat, abs=0.0006)

        saved = old["total"] - mine["total"]
        gain, back = page.row(name, 1)[:2]
        assert gain == pytest.approx(npf.npv(RATE, saved), abs=2 * SUM_TOLERANCE)
        running = np.cumsum(saved)
        last = int(np.flatnonzero(running < 0)[-1])
        assert back == pytest.approx(last - running[last] / saved[last + 1], abs=0.15)
        (rate,) = page.said(rf"– {name} costs .*?Rate of return ([-\d.]+)% a year")
        assert rate / 100 == pytest.approx(npf.irr(saved), abs=0.001)
        assert npf.npv(rate / 100, saved) == pytest.approx(0, abs=80), "a tenth of a per cent is worth about that"

        tonnes = (old["CO2"] - mine["CO2"]).sum() / 1000
        life, per_tonne = page.said(
            rf"– {name}: [\d,]+ kg less in the first year, ([\d.]+) t over .*?, saving (\d+) a tonne"
        )
        assert life == pytest.approx(tonnes, abs=0.1)
        assert per_tonne == pytest.approx(npf.npv(RATE, saved) / tonnes, abs=1)


def test_the_offers_from_the_printed_tables(page: Printed) -> None:
    cheap, dear = page.years(CHEAP), page.years(DEAR)
    saved = cheap["total"] - dear["total"]
    even, today, extra, year = page.said(
        r"by (\d+) EUR a year: .* saves ([\d,]+) today and takes (\d+) more in the first year .* in year (\d+\.\d)"
    )
    assert today == -saved[0]
    assert extra == pytest.approx(saved[1], abs=1)
    assert even == pytest.approx(-npf.pmt(RATE, YEARS, npf.npv(RATE, saved)), abs=1.1)
    running = np.cumsum(saved / 1.035 ** np.arange(YEARS + 1))
    last = int(np.flatnonzero(running < 0)[-1])
    assert year == pytest.approx(last - running[last] / (running[last + 1] - running[last]), abs=0.15)

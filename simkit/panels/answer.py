"""A case with its options in, the answer in money out: what the heat pump costs, and what the old heating would."""

from __future__ import annotations

import re
from dataclasses import dataclass

import pandas as pd

from simkit.answers.cautions import cautions_for
from simkit.figures.style import THIN_SPACE, number, signed, within
from simkit.panels.look import answer_html, cautions_html, page_html, table_html
from simkit.uncertainty.ranges import Range
from simkit.year.comfort import YearComfort
from simkit.year.compare import Comparison
from simkit.year.year import Year

COVERS = "heat, hot water and all other electricity together"


def words_of(comfort: YearComfort) -> str:
    """Comfort in words, with the thousands of the figures."""
    return re.sub(r"(?<=\d),(?=\d{3})", THIN_SPACE, comfort.words)


def about(amount: float) -> str:
    """An amount without false precision: to tens from two hundred on."""
    return number(round(amount, -1) if abs(amount) >= 200 else round(amount))


@dataclass(frozen=True, eq=False)
class Answer:
    """The heat pump beside the heating it replaces.

    Attributes
    ----------
    comparison
        One year for each option; the heat pump is the first.
    ranged
        Whether the likely ranges are worked out.
    """

    comparison: Comparison
    ranged: bool = False

    def with_ranges(self) -> Answer:
        """The same answer with its ranges, which take a few tenths of a second."""
        for year in self.comparison.years:
            year.range()
        return Answer(self.comparison, ranged=True)

    @property
    def pump(self) -> Year:
        """The year with the heat pump."""
        return self.comparison.years[0]

    @property
    def others(self) -> tuple[Year, ...]:
        """The years with the heating it replaces."""
        return self.comparison.years[1:]

    @property
    def currency(self) -> str:
        """ISO 4217 code."""
        return self.pump.bill.currency

    @property
    def headline(self) -> str:
        """The year's cost."""
        return f"{about(self.pump.bill.total)} {self.currency} a year"

    @property
    def likely(self) -> str:
        """The range of that cost, in words; empty until it is worked out."""
        if not self.ranged:
            return ""
        found = self.pump.range()
        return f"likely {about(found.low)} to {about(found.high)}, {COVERS}"

    @property
    def verdicts(self) -> tuple[str, ...]:
        """One sentence for each heating that is compared, and one for efficiency and comfort."""
        spf = self.pump.spf.h4
        works = (
            f"{spf:.1f} kWh of heat from a kWh of electricity, pumps and standby counted"
            if spf
            else "No heat pump runs"
        )
        comfort = words_of(self.pump.comfort)
        if self.pump.comfort.held:
            comfort += f", the rooms never fall below {self.pump.comfort.min_room_c:.1f} °C"
        return (*(self._against(year) for year in self.others), f"{works}; {comfort}.")

    def _against(self, year: Year) -> str:
        more = self.pump.bill.total - year.bill.total
        less_or_more = "more" if more > 0 else "less"
        words = f"{about(abs(more))} {self.currency} a year {less_or_more} than the {within(year.case.name)}"
        if not self.ranged:
            return f"{words}."
        found = Range.of(self.pump.samples.total - year.samples.total)
        return f"{words} (likely {more_or_less(found)})."

    def table(self) -> pd.DataFrame:
        """One row by option, rounded as it should be read: cost and range, difference, performance and comfort."""
        money, rows = self.currency, []
        for year in self.comparison.years:
            cost = year.bill.total
            row: dict[str, object] = {"option": year.case.name, f"{money} a year": number(cost)}
            if self.ranged:
                found = year.range()
                row["likely range"] = f"{about(found.low)} to {about(found.high)}"
            row["against heat pump"] = "" if year is self.pump else signed(cost - self.pump.bill.total)
            row |= {
                "coldest room": f"{year.comfort.min_room_c:.1f} °C",
                "comfort": words_of(year.comfort),
            }
            rows.append(row)
        return pd.DataFrame(rows).set_index("option")

    def table_html(self) -> str:
        """The table as HTML that can be selected and copied."""
        return table_html(self.table(), label="What a year costs", text=["comfort"])

    def _repr_html_(self) -> str:
        said = answer_html(self.headline, self.likely, self.verdicts) + self.table_html()
        return page_html(said + cautions_html(cautions_for(self.comparison.years)))

    def __repr__(self) -> str:
        likely = f": {self.likely}" if self.ranged else ""
        return "\n".join([f"{self.headline}{likely}.", *self.verdicts])


def more_or_less(found: Range) -> str:
    """The range of a difference in words: "120 to 200 less", "40 less to 60 more"."""
    low, high = about(abs(found.low)), about(abs(found.high))
    if found.low >= 0:
        return f"{low} to {high} more"
    return f"{high} to {low} less" if found.high <= 0 else f"{low} less to {high} more"

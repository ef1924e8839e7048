"""A case in; what every part of its report works from, each worked out once and only when it is asked for, out."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Any

from simkit.answers.answer import Answer
from simkit.answers.comparison import as_comfortable
from simkit.answers.report.details import Details
from simkit.answers.report.words import Words
from simkit.case.case import Case
from simkit.year.compare import Comparison, compare
from simkit.year.year import Year

if TYPE_CHECKING:
    from simkit.decide.assumptions import Assumptions
    from simkit.decide.measures.ladder import Ladder
    from simkit.finance.weighing import Weighed

Begin = Callable[[str], None]


@dataclass(frozen=True, eq=False)
class Basis:
    """What a report works from.

    Attributes
    ----------
    case
        The home, in the notation of the report.
    details
        Who writes it, and how it looks.
    readings
        A file of meter readings; None without one.
    command
        How the report is made again.
    since
        What an earlier report held; None without one.
    begin
        Told the name of each step.
    """

    case: Case
    details: Details
    readings: Path | None = None
    command: str = ""
    since: Mapping[str, Any] | None = None
    begin: Begin = field(default=lambda _: None, repr=False)

    @cached_property
    def words(self) -> Words:
        """The words of the report."""
        return Words(self.details.spoken, self.case.notation)

    @cached_property
    def comparison(self) -> Comparison:
        """The options, compared; a case without any is its own only option."""
        found = compare(self.case, before_each=self.begin)
        for year in found.years:
            self.begin(f"likely range of {year.case.name}")
            year.range()
        return found

    @cached_property
    def weighed(self) -> Weighed | None:
        """The options over the years; None where the case states no terms of money or no alternative."""
        if self.case.money is None or self.case.baseline is None or len(self.comparison.years) < 2:
            return None
        from simkit.finance.weighing import weigh
        from simkit.finance.worth import worth

        self.begin("over the years")
        return weigh(worth(self.case, comparison=self.comparison))

    @cached_property
    def chosen(self) -> Year:
        """The option that the report advises: of those as comfortable as needed, and priced, the one of least cost.

        The one that comes nearest to comfort where none is; the only one where there are no options.
        """
        if not self._in_question:
            return min(self.comparison.years, key=lambda y: (*y.comfort.how_far, self.cost(y), y.case.name))
        return self._in_question[0]

    @property
    def rival(self) -> Year | None:
        """Of what is as comfortable as needed, and priced, the one that costs least after what is advised."""
        return next((year for year in self._in_question if year is not self.chosen), None)

    @cached_property
    def _in_question(self) -> list[Year]:
        """The options that are as comfortable as needed, and priced, that of least cost first."""
        held = (year for year in self.comparison.years if year.comfort.held and not self._lacks_price(year))
        return sorted(held, key=lambda year: (self.cost(year), year.case.name))

    def cost(self, year: Year) -> float:
        """What an option is judged by [currency]: its cost over the years, worth today, else the cost of a year."""
        return year.bill.total if self.weighed is None else self.weighed.worth.option(year.case.name).worth_today

    def _lacks_price(self, year: Year) -> bool:
        return self.weighed is not None and self.weighed.lacks_price(self.weighed.worth.option(year.case.name))

    @cached_property
    def kept(self) -> Year | None:
        """What is there, kept as comfortable as what is advised; None where that is what is advised, or is nothing."""
        if self.weighed is not None:
            like = self.weighed.keeps_as_warm(self.weighed.worth.option(self.chosen.case.name))
            found = None if like is None else like.year
        else:
            found = as_comfortable(self.comparison, self.chosen)
        return None if found is self.chosen else found

    @cached_property
    def assumptions(self) -> Assumptions:
        """What the advised option and the baseline leave open, ranked."""
        from simkit.decide.assumptions import assumptions_of

        self.begin("what it leaves open")
        others = () if self.comparison.base is self.chosen else (self.comparison.base,)
        return assumptions_of(self.chosen, others)

    @cached_property
    def ladder(self) -> Ladder | None:
        """What could be done next; None where nothing could be asked about.

        What the case lists is weighed on the home as it stands there, what is usually asked about on what is advised.
        """
        from simkit.decide.measures.ladder import rank_measures
        from simkit.decide.measures.usual import usual_measures
        from simkit.errors import CaseError

        self.begin("what could be done next")
        listed = self.case.money.measure if self.case.money else None
        advised = self.chosen.case
        home = self.case if listed or advised.heat_source == "boiler" else advised
        try:
            return rank_measures(home, listed or usual_measures(home))
        except CaseError:
            return None

    @cached_property
    def measures(self) -> Answer | None:
        """The answer of the ladder, which says what home it is about where there are several."""
        if self.ladder is None:
            return None
        answer, home = self.ladder.answer(title=self.case.name), self.ladder.combined.cases[0]
        if len(self.comparison.years) < 2:
            return answer
        named = next((year.case.name for year in self.comparison.years if year.case.digest == home.digest), home.name)
        said = self.words("first.measures_of", option=self.words.quoted(named))
        return replace(answer, sentences=(answer.sentences[0], said, *answer.sentences[1:]))

    def titled(self, answer: Answer) -> Answer:
        """An answer under the name of the home."""
        return replace(answer, title=self.case.name)

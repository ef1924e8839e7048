"""What a panel shows is the answer of its result: sentences, table, cautions, ranges once nothing moves."""

from __future__ import annotations

from collections.abc import Callable

from simkit.answers.comparison import comparison_answer
from simkit.panels.flow_and_times.model import Trial
from simkit.panels.form.form import HomeForm
from simkit.uncertainty.ranges import Range


def test_the_form_says_what_compare_says_of_the_same_options(form: Callable[..., HomeForm]) -> None:
    found = form()
    said, compared = found.answer(ranged=True), comparison_answer(found.comparison, ranged=True)
    assert said.sentences == compared.sentences
    assert said.tables[0].cells(said.notation) == compared.tables[0].cells(compared.notation)
    assert said.cautions == compared.cautions
    assert "likely" not in found.answer().sentence, "ranges come when nothing moves"


def test_a_setting_is_said_with_its_range_on_the_difference_and_with_its_comfort(trial: Callable[..., Trial]) -> None:
    found = trial()
    year, money = found.year, found.case.notation
    assert found.answer().sentences[0] == (
        f"As your home stands, a year costs about {money.money(year.bill.total)}; rooms are warm enough and hot water "
        "comes."
    )
    found.set("flow_c", 38)
    year, before = found.year, found.beside.case
    more = year.bill.total - before.bill.total
    known = Range.of(year.samples.total - before.samples.total, more)
    first = found.answer(ranged=True).sentences[0]
    wrong = f"With this setting the home is {year.comfort.worded(money.number)}. As it is, a year costs about "
    assert first.startswith(f"{wrong}{money.estimate(year.bill.total, year.range())} (")
    assert f"{money.more_or_less(more, known)} a year than your home as it stands" in first


def test_each_heating_that_it_stands_beside_has_its_comfort_in_the_same_breath(trial: Callable[..., Trial]) -> None:
    lived = next(said for said in trial().answer().sentences if "as lived" in said)
    assert "too cold: " in lived


def test_a_home_that_was_not_moved_is_compared_with_itself_as_your_home(trial: Callable[..., Trial]) -> None:
    table = trial().answer().tables[0]
    assert table.note.startswith("Against the baseline: “Your home”. ")
    assert table.frame.loc[["This setting", "Your home"], "more_cost"].isna().all()

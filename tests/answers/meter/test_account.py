"""An account speaks of what was used against what was expected, and names a drift in the same breath."""

from __future__ import annotations

from dataclasses import replace

import pandas as pd
import pytest
from meter.homes import days_of, fitted, twin

from simkit.answers.meter.account import account_answer, account_sentences
from simkit.answers.wording import RANGE_MEANS
from simkit.case.sample_homes import sample_file
from simkit.meter.account.account import start_account
from simkit.meter.account.drift import RATES, Drift
from simkit.meter.account.statement import Statement, statement
from simkit.notation import Notation
from simkit.uncertainty.ranges import Range

IRISH = Notation("en_IE", "EUR")


@pytest.fixture(scope="module")
def drawn(tmp_path_factory: pytest.TempPathFactory) -> Statement:
    folder = tmp_path_factory.mktemp("account") / "a"
    account = start_account(folder, sample_file("estuary_bungalow"), fitted(), days_of(twin().readings, 0, 40))
    return statement(account, weather=twin().weather)


def test_used_and_expected_come_first_and_no_drift_is_said(drawn: Statement) -> None:
    answer, days = account_answer(drawn), drawn.days
    share = days["metered_kwh"].sum() / days["expected_kwh"].sum() - 1.0
    way = "more" if share > 0 else "less"
    shown = answer.sentences[0].replace("\u00a0", " ")
    assert shown.startswith(
        f"In 40 days the home used {days['metered_kwh'].sum():,.0f} kWh, {100 * abs(share):.1f} % {way}"
    )
    assert answer.sentences[-2:] == ("Nothing has drifted by more than chance.", RANGE_MEANS)
    assert RATES in answer.notes
    assert list(answer.data["months"]) == list(drawn.months.reset_index())
    assert answer.tables[0].frame["paid_cost"].tolist() == drawn.months["cost"].tolist()


def test_a_drift_stands_in_the_first_sentence(drawn: Statement) -> None:
    drift = Drift(pd.Timestamp("2025-03-11"), 15.3, 13.6, 17.1, 0.999, "it is alike on mild and cold days")
    said = account_sentences(replace(drawn, drift=drift), IRISH)
    assert (
        said[0]
        .replace("\u00a0", " ")
        .endswith(
            "; but: since about 11 March 2025 a day takes 15.3 kWh more than expected (13.6 to 17.1, 99.9 % sure): "
            "it is alike on mild and cold days."
        )
    )
    assert "Nothing has drifted by more than chance." not in said
    less = replace(drift, kwh_per_day=-15.3, low=-17.1, high=-13.6)
    assert "takes 15.3 kWh less than expected (13.6 to 17.1" in account_sentences(replace(drawn, drift=less), IRISH)[0]


def test_what_was_saved_is_said_only_as_far_as_its_range_agrees(drawn: Statement) -> None:
    days = drawn.days.assign(old_cost=10.0)
    even = account_sentences(replace(drawn, days=days, saved=Range(-60.0, 10.0, 80.0), outlay=5000.0), IRISH)
    assert even[1].replace("\u00a0", " ") == (
        "The old fuel would have cost €400, about as much as now: it could go either way (likely €80 less to €60 more now)."
    )
    assert not any("What was saved" in text for text in even)
    clear = account_sentences(replace(drawn, days=days, saved=Range(60.0, 100.0, 140.0), outlay=5000.0), IRISH)
    assert (
        clear[1].replace("\u00a0", " ")
        == "The old fuel would have cost €400, €100 less now (likely €60 to €140 less now)."
    )
    assert clear[2].replace("\u00a0", " ") == "What was saved is 2.0 % of the €5,000 that the change cost."
    assert account_answer(replace(drawn, saved=None)).tables[0].frame.columns.tolist() == [
        "read_d", "metered_kwh", "expected_kwh", "paid_cost",
    ]  # fmt: skip

"""An account speaks of what was used against what was expected, and names a drift in the same breath."""

from __future__ import annotations

import json
from dataclasses import replace

import numpy as np
import pandas as pd
import pytest
from meter.homes import days_of, fitted, twin

from simkit.answers.meter.account import (
    NO_WHOLE_YEAR,
    OLD_WARMTH,
    account_answer,
    account_sentences,
    added_words,
)
from simkit.answers.meter.drift import changed_words
from simkit.answers.wording import RANGE_MEANS
from simkit.case.sample_homes import sample_file
from simkit.meter.account.account import Added, start_account
from simkit.meter.account.causes import CAUSES
from simkit.meter.account.drift import GROWS, RATES, Drift
from simkit.meter.account.kept import Replaced
from simkit.meter.account.old_fuel import PaidBack
from simkit.meter.account.statement import Statement, statement
from simkit.meter.account.what_changed import Changed
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
        f"In 40 days the home used {days['metered_kwh'].sum():,.0f} kWh, {100 * abs(share):.1f} % {way} than expected in "
        f"that weather ({days['expected_kwh'].sum():,.0f} kWh, likely "
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


def test_what_was_saved_and_paid_back_is_said_only_as_far_as_its_range_agrees(drawn: Statement) -> None:
    days = drawn.days.assign(old_cost=10.0)
    paid = PaidBack(outlay=5000.0, saved=Range(-60.0, 10.0, 80.0), service=3.0, interest=465.0, days=40)

    def said(low: float, middle: float, high: float, days_read: int = 40) -> list[str]:
        saved = Range(low, middle, high)
        back = replace(paid, saved=saved, days=days_read)
        texts = account_sentences(replace(drawn, days=days, saved=saved, paid_back=back), IRISH)
        first = next(k for k, text in enumerate(texts) if text.startswith("The old fuel would"))
        return [text.replace("\u00a0", " ") for text in texts[first:]]

    even = said(-60.0, 10.0, 80.0)
    assert even[0] == (
        "The old fuel would have cost €400, about as much as now: it could go either way (likely €80 less to €60 more now)."
    )
    assert even[1] == "Of the €5,000 that the change cost, at most 1.5 % is paid back to date, and perhaps nothing."
    assert even[2] == (
        "Beside it stand €3 more for service since, which is counted, and €465 of interest on its credit in all, which is "
        "not counted."
    )
    assert even[3:5] == [NO_WHOLE_YEAR, OLD_WARMTH]
    clear = said(60.0, 103.0, 140.0)
    assert clear[0] == "The old fuel would have cost €400, €103 less now (likely €60 to €140 less now)."
    assert clear[1] == "What is paid back to date is 2.0 % (likely 1.1 % to 2.7 %) of the €5,000 that the change cost."
    assert said(-300.0, -200.0, -100.0)[1] == "So nothing of the €5,000 that the change cost is paid back yet."
    # a year of 365.2425 days: 5,000 at (503 − 3) a year takes ten of them
    year = said(403.0, 503.0, 603.0, 365)
    assert year[3] == "At this pace the whole is paid back after 10.0 years (likely 8.33 to 12.5)."
    assert account_answer(replace(drawn, saved=None)).tables[0].frame.columns.tolist() == [
        "read_d", "metered_kwh", "expected_kwh", "paid_cost", "expected_low", "expected_high",
    ]  # fmt: skip


def test_what_did_it_adds_up_in_every_table_as_shown(drawn: Statement) -> None:
    answer = account_answer(drawn)
    for table, digits in ((answer.tables[1], 1), (answer.tables[2], 2)):
        units = np.rint(table.frame.to_numpy(dtype=float) * 10**digits).astype(int)
        assert (units[:, 0] == units[:, 1:].sum(axis=1)).all()
        assert (units[-1] == units[:-1].sum(axis=0)).all()
    names = [name for name in answer.data["causes"]["days"] if name != "day"]
    assert names == [name for name in answer.data["causes"]["months"] if name != "month"]
    assert len(answer.data["causes"]["days"]["day"]) == len(drawn.days)
    json.dumps(answer.data, default=float)
    told = next(text for text in answer.sentences if text.startswith("That is ")).replace("\u00a0", " ")
    assert " in usual weather at the first day's prices: " in told
    assert all(cause in told for cause in CAUSES)
    assert told.endswith("price did nothing.")
    unsure = next(text for text in answer.sentences if text.startswith("Use and efficiency are told apart only by"))
    assert f"known to {1.28 * drawn.efficiency.error_kwh:.3g} kWh either way, so that efficiency may as well" in unsure


def test_what_changed_and_days_away_are_words(drawn: Statement) -> None:
    drift = Drift(pd.Timestamp("2025-01-20"), 4.0, 3.1, 4.9, 0.99, GROWS)
    changed = Changed(pd.Timestamp("2025-01-24"), 31.2, 22.4, ("hot water",), float("nan"), float("nan"))
    said = changed_words(changed, drift, IRISH)
    assert said == (
        "Look first at 24 January 2025: 31.2 kWh where 22.4 were expected. What changed is most likely hot water: it falls "
        "in the hours in which water is heated."
    )
    either_of = changed_words(replace(changed, what=("standby", "household")), drift, IRISH)
    assert "What changed may be standby or household: these readings don't tell them apart." in either_of
    assert "can't be said closer: hours are not read" in changed_words(replace(changed, what=()), drift, IRISH)
    metered = changed_words(replace(changed, pump_kwh=3.6, heat_share=0.9), drift, IRISH).replace("\u00a0", " ")
    assert (
        "By its own meter the heat pump takes 3.60 kWh a day more than before, where the whole home takes 4" in metered
    )
    assert metered.endswith("It gives 10 % less heat for its electricity, at the same weather.")
    away = drawn.days.assign(away=[k in (3, 4, 5, 9) for k in range(len(drawn.days))])
    texts = account_sentences(replace(drawn, days=away), IRISH)
    assert (
        "Away, by the meter: 13 January 2025 to 15 January 2025 and 19 January 2025. These days count as use, never as "
        "drift or efficiency." in texts
    )
    logged = replace(drawn, loggers=("heat_kwh was read whole on 3 of the 40 days.",))
    assert "The heat meter was read whole on 3 of the 40 days." in account_sentences(logged, IRISH)


def test_what_a_file_brought_is_one_line() -> None:
    first, last = (pd.Timestamp(f"2025-01-{day}", tz="UTC") for day in (10, 12))
    added = Added({"import_kwh": 1440}, (Replaced("import_kwh", 12, first, last, 3.24, 5.18),), 2)
    assert added_words("march.csv", added, IRISH) == (
        "march.csv: 1,440 readings appended; 12 readings of the electricity meter replaced (2025-01-10 00:00 to "
        "2025-01-12 00:00 UTC, 3.24 kWh became 5.18 kWh), the old ones are kept in readings.csv; 2 over longer intervals "
        "than those that are there left out."
    )

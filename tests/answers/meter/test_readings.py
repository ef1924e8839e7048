"""What was read: whether it can be used comes first, and what no reading shows is asked again."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from meter.homes import days_of, forty
from meter.written import ZONE, put, truth, utc_start

from simkit.answers.meter.readings import readings_answer
from simkit.meter.reading.reading import read_meter
from simkit.reporting.on_terminal import answer_text

pytestmark = pytest.mark.short


def test_good_readings_can_be_used_and_a_stamp_that_nothing_shows_is_asked_again(tmp_path: Path) -> None:
    told = readings_answer(read_meter(put(tmp_path, utc_start(truth()).replace("Z,", ",")), zone=ZONE))
    assert told.sentences[0].endswith("they can be used as they are.")
    held = truth().iloc[17:-9]
    asked = readings_answer(
        read_meter(put(tmp_path, utc_start(held).replace("Z,", ",").replace("start", "time")), zone=ZONE)
    )
    assert asked.sentences[1] == (
        "Please confirm: clock (UTC: 2025-03-30 has readings in the hour that the wall clock skips); "
        "stamps (start of the interval: the usual way; nothing shows it)."
    )


def test_what_is_left_out_stands_in_the_first_sentence_and_is_listed(tmp_path: Path) -> None:
    lines = utc_start(truth()).splitlines()
    kept = [*lines[:101], *lines[149:], "Total,1234.5"]
    answer = readings_answer(read_meter(put(tmp_path, "\n".join(kept)), zone=ZONE))
    assert "; but: what is left out stays a gap" in answer.sentences[0]
    assert "Gaps: 1, intervals without a reading: 48 (2025-03-12 02:00 to 2025-03-13 02:00 UTC)." in answer.notes
    assert "Rows that are no reading (totals): 1; left out." in answer.notes
    assert all(note in " ".join(answer_text(answer).split()) for note in answer.notes)
    assert answer.data["usable_as_is"] is False
    assert answer.data["gaps"] == [["2025-03-12T02:00:00+00:00", "2025-03-13T02:00:00+00:00", 48]]
    sums = answer.tables[0].frame.loc["the electricity meter"]
    held = truth()
    assert sums["energy_kwh"] == pytest.approx(held.sum() - held.iloc[100:148].sum())
    assert sums["read_share"] == pytest.approx(1.0 - 48 / len(held))


def test_bills_stand_beside_what_was_read(tmp_path: Path) -> None:
    held = truth(("2025-03-01", "2025-04-10"))
    march = float(held[held.index.tz_convert(ZONE).month == 3].sum())
    found = read_meter(put(tmp_path, utc_start(held)), zone=ZONE, bill_kwh={"2025-03": march * 1.02})
    bills = next(table for table in readings_answer(found).tables if table.name == "bills")
    assert bills.frame.loc["2025-03", "off_share"] == pytest.approx(1 / 1.02 - 1)  # own: read over billed
    assert bills.cells(readings_answer(found).notation)[0][-1].replace("\u00a0", " ") == "−2.0 %"


def test_readings_from_no_file_have_no_guesses_and_say_so_by_leaving_them_out() -> None:
    answer = days_of(forty(), 0, 10).answer()
    assert [table.name for table in answer.tables] == ["sums", "first_rows"]
    assert len(answer.sentences) == 1
    assert np.isfinite(answer.tables[0].frame["energy_kwh"]).all()

"""A fit speaks of the home first, says what its readings can't tell apart, and words its misfit for a client."""

from __future__ import annotations

from meter.homes import fitted

from simkit.answers.meter.fit import fit_answer, signature_of
from simkit.answers.meter.measured import off
from simkit.notation import Notation

IRISH = Notation("en_IE", "EUR")


def test_bias_and_scatter_are_said_in_words_and_their_terms_stand_in_the_details() -> None:
    assert off(0.004, 0.16, IRISH).replace("\u00a0", " ") == "0.4 % too much in all, 16 % off on a typical day"
    assert off(-0.05, 0.096, IRISH).replace("\u00a0", " ") == "5.0 % too little in all, 10 % off on a typical day"
    answer = fit_answer(fitted(), files=("readings.csv",))
    shown = " ".join(answer.sentences)
    assert "NMBE" not in shown
    assert "RMSE" not in shown
    meters = next(table for table in answer.tables if table.name == "meters")
    assert "NMBE" in meters.note
    assert "CV(RMSE)" in meters.note
    metric = fitted().metrics["import_kwh"]
    assert meters.frame.loc["the electricity meter", "typical_off_share"] == metric.cv_rmse
    assert answer.data["metrics"]["import_kwh"]["cv_rmse_less_one"] == metric.cv_rmse_less_one


def test_the_loss_comes_first_with_its_range_and_what_it_was_taken_to_be() -> None:
    answer = fit_answer(fitted())
    row, described = fitted().table.loc["loss_w_per_k"], fitted().unknowns[0].centre
    assert answer.sentences[0].startswith(
        f"The home loses about {row['middle']:.0f} W/K (likely {row['low']:.0f} to {row['high']:.0f}): "
    )
    verdict = "as it was" if row["low"] <= described <= row["high"] else "not what it was"
    assert answer.sentences[0].endswith(f"{verdict} taken to be ({described:.0f} W/K).")


def test_what_one_meter_can_t_tell_apart_is_said_and_so_is_what_it_hardly_tells() -> None:
    answer = fit_answer(fitted(4))
    assert (
        "But these readings can't tell efficiency of the heat pump, of that calculated from heat loss"
        in answer.sentence
    )
    unknowns = answer.tables[0]
    assert unknowns.frame.loc["Hot water drawn, of that stated", "learnt_words"] == "little"
    assert set(answer.data["unknowns"]) == set(fitted().table.index)


def test_the_plain_method_stands_beside_or_it_is_said_why_not() -> None:
    answer, (signature, why_not) = fit_answer(fitted()), signature_of(fitted())
    assert signature is not None
    assert not why_not
    beside = next(table for table in answer.tables if table.name == "signature")
    assert beside.frame.loc["More for each kelvin colder", "fitted"] == signature.slope_kwh_per_k.middle
    assert ("No day was warm enough" in beside.note) == (not signature.changes)
    assert [picture.name for picture in answer.pictures] == ["fit", "pairs", "signature"]

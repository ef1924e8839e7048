"""Claims about simulated years, held; and what is said of all claims, and drawn."""

from __future__ import annotations

from dataclasses import replace

import pandas as pd
import pytest

from simkit.figures import claims_by_group, claims_by_group_sentence
from simkit.validation.checked import CLAIMS, Checked
from simkit.validation.claim import Claim
from simkit.validation.claims import practice
from validation.held import require_agreement

NOT_HELD = {
    "SPF at H4 of each sample home [-]",
    "Machines of that stock at 3.0 or more [share]",
    "What an insulated floor saves the canal home a year [EUR]",
}


@pytest.mark.parametrize("claim", [one for one in practice.CLAIMS if one.held], ids=lambda claim: claim.says)
def test_the_kit_agrees(claim: Claim) -> None:
    require_agreement(claim)


def test_bands_that_are_no_test_of_one_home_are_named() -> None:
    assert {one.says for one in practice.CLAIMS if not one.held} == NOT_HELD


def some() -> Checked:
    """One claim of each group, one of them made to depart."""
    first = {claim.group: claim for claim in CLAIMS[::-1] if claim not in practice.CLAIMS}.values()
    frame = pd.DataFrame([claim.result() for claim in first][::-1]).set_index("claim").astype({"agrees": bool})
    frame.iloc[0, frame.columns.get_loc("agrees")] = False
    return Checked(frame)


def test_the_answer_counts_names_what_departs_and_tells_groups_apart() -> None:
    found = some()
    said = found.answer()
    assert said.sentences[0].startswith("4 claims from outside were computed anew here")
    assert said.sentences[0].endswith("3 agree as near as their source allows.")
    assert said.sentences[1].startswith("“Bin hours of the three climates” does not: 0 against 0")
    assert said.sentences[2].startswith("1 more are only remembered and prove nothing, and 1 were derived here")
    assert [table.name for table in said.tables] == [
        "groups",
        *(name.replace(" ", "_") for name in found.groups.index),
        "shortcuts",
    ]
    assert said.tables[1].cells(said.notation)[0][-1] == "no"
    brief = said.without_tables()
    assert (brief.sentences, brief.pictures, brief.tables) == (said.sentences, said.pictures, ())


def test_a_tolerance_is_written_without_zeros_that_say_nothing() -> None:
    rows = [
        replace(CLAIMS[0], says=f"c{k}", tolerance=near).result() for k, near in enumerate((0.5, 5.0, 1500.0, 2e-4))
    ]
    said = Checked(pd.DataFrame(rows).set_index("claim").astype({"agrees": bool})).answer()
    written = [cells[-2].partition(":")[0] for cells in said.tables[1].cells(said.notation)]
    assert written == ["0.5", "5", "1,500", "0.0002"]


def test_the_figure_draws_each_claim_once_in_its_group() -> None:
    found = some()
    ax = claims_by_group(found.table)
    drawn = {line.get_label(): line for line in ax.lines}
    assert len(drawn["simkit"].get_xdata()) == len(found.table)
    assert [text.get_text() for text in ax.get_yticklabels()] == list(found.groups.index)
    assert "are further off than simkit" in claims_by_group_sentence(found.table)

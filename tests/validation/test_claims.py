"""Claims that need no simulated year, held; and the table itself: labelled, sourced, and able to fail."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace

import numpy as np
import pytest

from simkit.validation import checked
from simkit.validation.checked import CLAIMS
from simkit.validation.claim import APART, GROUPS, HANDBOOKS, MEMORY, STANDARDS, Claim
from validation.held import require_agreement

pytestmark = pytest.mark.short

FEWEST_OUTSIDE = 120
PLAIN = [claim for room in checked.PLAIN for claim in room.CLAIMS]


@pytest.mark.parametrize("claim", [one for one in PLAIN if one.held], ids=lambda claim: claim.says)
def test_the_kit_agrees(claim: Claim) -> None:
    require_agreement(claim)


@pytest.mark.parametrize("claim", [one for one in PLAIN if not one.held], ids=lambda claim: claim.says)
def test_what_is_only_remembered_is_computed_all_the_same(claim: Claim) -> None:
    assert claim.group == MEMORY
    assert np.isfinite(claim.result()["got"])


def test_each_claim_is_named_once_sourced_and_in_a_group() -> None:
    assert max(Counter(one.says for one in CLAIMS).values()) == 1
    assert all(one.source and one.reason and one.group in GROUPS for one in CLAIMS)
    assert not any(one.held for one in CLAIMS if one.group == MEMORY)
    assert sum(one.group not in APART for one in CLAIMS) >= FEWEST_OUTSIDE


PRINTED = [claim for claim in PLAIN if claim.group in (STANDARDS, HANDBOOKS)]


@pytest.mark.parametrize("claim", PRINTED, ids=lambda claim: claim.says)
def test_a_claim_can_fail(claim: Claim) -> None:
    """Twice its tolerance, and a hair, beside what is expected."""
    wanted = claim.wanted
    beside = wanted + 2.0 * np.broadcast_to(claim.allowed, wanted.shape) + 1e-6 * np.abs(wanted) + 1e-9
    assert not replace(claim, got=lambda: beside).result()["agrees"]


def test_a_gap_is_no_agreement_and_a_missing_value_is_an_error() -> None:
    claim = replace(CLAIMS[0], expected=(1.0, 2.0), got=lambda: (1.0, np.nan), tolerance=0.1)
    assert not claim.result()["agrees"]
    with pytest.raises(ValueError, match="2 values expected, 1 found"):
        replace(claim, got=lambda: 1.0).result()

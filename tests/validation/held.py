"""A claim in; a failure that names its source, where the kit does not agree."""

from __future__ import annotations

from simkit.validation.claim import Claim


def require_agreement(claim: Claim) -> None:
    """Fail with source, tolerance and reason in the message."""
    found = claim.result()
    assert found["agrees"], (
        f"found {found['got']!r}, expected {found['expected']!r} within {found['tolerance']!r} ({claim.reason}); "
        f"source: {claim.source}"
    )

"""Words that more than one face still says: what a range means, and what an estimate is."""

from __future__ import annotations

RANGE_MEANS = "Likely range: eight of ten samples lie in it (10th to 90th percentile of {lanes})."
ESTIMATE = "Estimates under the stated assumptions, not a guarantee."

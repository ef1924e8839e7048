"""Names for the types of arrays, for every module to import from here; and an array that stays as it is."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]
Dates = NDArray[np.datetime64]


def read_only(values: NDArray[Any]) -> NDArray[Any]:
    """Close an array to writing, in place, for whoever is handed one that is kept."""
    values.flags.writeable = False
    return values

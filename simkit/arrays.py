"""Names for the types of arrays, for every module to import from here."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]
Dates = NDArray[np.datetime64]

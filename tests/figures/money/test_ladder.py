"""The ladder of emitters drawn: every set with its flow, and how far the first rooms go."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest

from figures.reading import assert_legible, line, texts
from simkit.errors import CaseError
from simkit.figures.money.ladder import emitter_steps
from simkit.notation import Notation

IRISH = Notation("en_IE", "EUR")

TABLE = pd.DataFrame(
    {
        "price": [0.0, 260.0, 680.0, 700.0], "saving": [20.0, 80.0, 150.0, 160.0], "rooms": [0, 1, 2, 3],
        "design_flow_c": [54.0, 51.5, 48.0, 47.0], "saving_low": [10.0, 60.0, 110.0, 120.0],
        "saving_high": [30.0, 100.0, 190.0, 200.0],
    }
)  # fmt: skip


def test_every_set_with_its_flow() -> None:
    ax = emitter_steps(TABLE, notation=IRISH)
    np.testing.assert_array_equal(line(ax, "saving"), TABLE["saving"])
    assert texts(ax, "flow") == ["54 °C", "52 °C", "48 °C", "47 °C"]
    assert (ax.get_ylabel(), ax.get_xlabel()) == ("Saved a year [€]", "Price of the emitters, fitted [€]")
    assert_legible(ax)


def test_a_table_that_lacks_a_column_is_refused() -> None:
    with pytest.raises(CaseError, match="column saving is missing"):
        emitter_steps(TABLE.drop(columns="saving"), notation=IRISH)

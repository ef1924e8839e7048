"""What an account remembers: written and read back alike; damaged by hand, a plain sentence for each fault."""

from __future__ import annotations

import datetime as dt
import re
from pathlib import Path

import pytest

from simkit.errors import CaseError
from simkit.meter.account.account_file import (
    LEAST_DRAWS,
    WAYS,
    AccountFile,
    DatedPrices,
    Scatter,
    Unknown,
    read_account_file,
    write_account_file,
)
from simkit.meter.fitting.noise import PERSISTENCE

LOSS = Unknown(name="loss_w_per_k", label="heat loss", unit="W/K", centre=200.0, sd=0.1, positive=True, source="own")
DRAWS = Unknown(name="draws", label="hot water", unit="share", centre=1.0, sd=0.3, positive=True, source="own")
SCATTER = Scatter(
    meter="import_kwh", sd_kwh=2.5, mean_kwh=20.0, shares=(0.5, 0.0, 0.5, 0.0, 0.0),
    apart=(dt.date(2025, 1, 12),),
)  # fmt: skip
WHOLE = AccountFile(
    case="case.toml", old=None, fitted_from=dt.date(2025, 1, 10), fitted_until=dt.date(2025, 2, 19), mean=(0.1, -0.2),
    draws=((0.4, 0.1, 1.0),) * LEAST_DRAWS, scatter=SCATTER, unknown=(LOSS, DRAWS),
    prices=(DatedPrices(valid_from=dt.date(2025, 3, 1), tariff=None, fuel_price_per_unit=1.2),),
)  # fmt: skip

WHOLE_DRAWS = r"(?s)draws = .*?\n\]"


@pytest.fixture
def path(tmp_path: Path) -> Path:
    write_account_file(tmp_path / "account.toml", WHOLE)
    return tmp_path / "account.toml"


def test_it_is_read_back_as_it_was_written(path: Path) -> None:
    assert read_account_file(path) == WHOLE
    assert len(PERSISTENCE) == WAYS


@pytest.mark.parametrize(
    ("pattern", "line", "said"),
    [
        (r"sd_kwh = .*", "sd_kwh = 1e-9", "account.toml: [scatter] sd_kwh = 0.000000001 is outside 0.01 to 1000"),
        (r"sd_kwh = .*", "", "sd_kwh is missing (scatter of a day of the mean load)"),
        (r"sd_kwh = .*", 'sd_kwh = "much"', 'sd_kwh = "much"'),
        (r"sd_kwh = .*", "sd_kwh = nan", "sd_kwh"),
        (r"sd_kwh = .*", "sd_khw = 2.5", "sd_khw is not a key of this table. Perhaps sd_kwh is meant"),
        (r"shares = .*", "shares = [0.5, 0.1]", "are not 5 shares that add up to 1"),
        (WHOLE_DRAWS, "draws = [[0.4, 0.1, 1.0]]", "draws of 1 rows is not 128 to 1024 draws"),
        (r"draws = \[\s*\[0.4, ", "draws = [[", "draws of 128 rows has 2 values in row 1, not 2 scores and a scale"),
        (r"draws = \[\s*\[0.4", "draws = [[1e300", "holds a score over 6 or a scale outside 0.1 to 10"),
        (r"draws = \[\s*\[0.4, 0.1, 1.0", "draws = [[0.4, 0.1, 0.0", "holds a score over 6 or a scale outside 0.1 to 10"),
        (WHOLE_DRAWS, 'draws = "wide"', 'draws = "wide"'),
        (r"draws = \[\s*\[0.4", "draws = [[nan", "draws"),
        (r"mean = .*", "mean = [0.1]", "mean of 1 values is not 2 scores of 6 at most"),
        (r"mean = .*", "mean = [90.0, 0.1]", "is not 2 scores of 6 at most"),
        (r"fitted_until = .*", "fitted_until = 2024-01-01", "fitted_until = 2024-01-01 is not after 2025-01-10"),
        (r"fitted_until = .*", 'fitted_until = "spring"', "fitted_until"),
        (r'name = "draws"', 'name = "mood"', 'name = "mood"'),
        (r'name = "draws"', 'name = "loss_w_per_k"', "unknown names one thing twice"),
        (r"centre = 1.0", "centre = -1.0", "centre = -1 has no logarithm, and positive is true"),
        (r"fuel_price_per_unit = .*", "", "valid_from = 2025-03-01 has no price"),
        (r"mean = .*", "mean = [0.1,", "can't be read as TOML"),
    ],
)  # fmt: skip
def test_each_fault_is_one_sentence(path: Path, pattern: str, line: str, said: str) -> None:
    path.write_text(re.sub(pattern, line, path.read_text(), count=1))
    with pytest.raises(CaseError) as refused:
        read_account_file(path)
    told = str(refused.value).splitlines()
    assert len(told) == 1, told
    assert said in told[0]
    assert told[0].startswith("account.toml")
    assert not re.search(r"pydantic|Traceback|LinAlg|\bNone\b", told[0])


def test_nothing_but_a_remark_tells_what_is_missing(path: Path) -> None:
    path.write_text("# gone\ncase = 3\n")
    with pytest.raises(CaseError) as refused:
        read_account_file(path)
    assert (
        len(str(refused.value).splitlines()) == len(AccountFile.model_fields) - 2
    )  # `old` and `prices` may be left out

"""One account of a twin of the flagship over a hundred days, the first forty fitted, and its statement, made once."""

from __future__ import annotations

import pytest

from meter.homes import days_of, fitted, twin
from simkit.case.sample_homes import sample_file
from simkit.meter.account.account import Account, add_readings, start_account
from simkit.meter.account.statement import Statement, statement


@pytest.fixture(scope="session")
def account(tmp_path_factory: pytest.TempPathFactory) -> Account:
    folder = tmp_path_factory.mktemp("account") / "a"
    begun = start_account(folder, sample_file("estuary_bungalow"), fitted(), days_of(twin().readings, 0, 40))
    return add_readings(begun, twin().readings)[0]


@pytest.fixture(scope="session")
def drawn(account: Account) -> Statement:
    return statement(account, weather=twin().weather)

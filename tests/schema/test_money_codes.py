"""Currency codes against the tables of Babel."""

from __future__ import annotations

from babel.core import get_global

from simkit.schema.money_codes import CURRENCIES


def test_every_money_in_use_has_its_code() -> None:
    in_use = {
        code
        for moneys in get_global("territory_currencies").values()
        for code, _, end, tender in moneys
        if tender and end is None
    }
    assert len(in_use) > 140
    assert in_use <= CURRENCIES
    assert set(get_global("all_currencies")) >= CURRENCIES - {"XCG"}, "XCG is younger than some tables"

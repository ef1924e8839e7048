"""A home with an offer in; its price, grant, loan and lives to try, and what it is worth over the years, out."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from simkit.answers.answer import Answer
from simkit.answers.money.worth import worth_answer
from simkit.case.build import vary
from simkit.case.case import Case
from simkit.case.money.ledger import COSTS, SUPPORTS, Ledger
from simkit.errors import CaseError, Fault
from simkit.finance.worth import Worth, worth
from simkit.panels.fields import Field, Number
from simkit.panels.settings import Settings, Values
from simkit.year.compare import Comparison, compare

SAMPLES = 128  # own: what decides is told by so many futures while a panel is moved
GRANT, PART = "grant", "heat pump"
LOAN = ("loan", "loan_rate", "loan_years")


class MoneyTrial(Settings):
    """What an offer costs, tried on its worth: nothing of the year is simulated again.

    Parameters
    ----------
    start
        A case with [money], a heating that stays, and an offer: an option with a ledger.
    folder
        Where a file is written; None for the current one.

    Attributes
    ----------
    worth
        Options and terms with the settings.
    """

    file = "my_money.toml"
    live = False  # a worth takes a second: it follows a slider that was let go
    worth: Worth
    comparison: Comparison

    def __init__(self, start: Case, folder: str | Path | None = None) -> None:
        super().__init__(folder)
        self.begin(start)

    def begin(self, case: Case) -> None:
        """Stand on another home with an offer."""
        offers = [(place, option) for place, (_, _, option) in enumerate(case.options()) if option.ledger is not None]
        offers = [(place, option) for place, option in offers if option.heat_source != "boiler"]
        if not offers or not case.stated.get("option"):
            remedy = "Write what the offer costs into the form, or add a [ledger] to an [[option]]"
            raise CaseError(Fault(case.label, "an offer", "is not in this case, and nothing can be weighed", remedy))
        self._case = self.case = case
        self._place, option = offers[0]
        assert option.ledger is not None  # asked above
        self.offer, self._ledger = option.name, option.ledger
        self.comparison = compare(case)
        self._begin({one.name: one for one in self._fields()}, self._first())
        self._work_out()

    @property
    def groups(self) -> Mapping[str, tuple[str, ...]]:
        """The offer, the loan, and how years are weighed."""
        return {f"The offer: {self.offer}": ("price", "grant"), "A loan": LOAN, "The years": ("life", "years", "rate")}

    @property
    def held(self) -> bool:
        """Whether the offer keeps rooms and hot water as warm as needed."""
        return self.worth.option(self.offer).year.comfort.held

    def shown(self, name: str) -> bool:
        """Whether a setting has a meaning: no terms without a loan."""
        return name not in LOAN[1:] or bool(self.values["loan"])

    def _fields(self) -> list[Field]:
        money, most = self._case.currency, max(3.0 * self._ledger.price, 1000.0)
        return [
            Number("price", "Price, all of it", money, 0.0, most, 100.0, "tax included", 11000),
            Number("grant", "Grant", money, 0.0, most, 100.0, example=4500),
            Number("loan", "Borrowed", money, 0.0, most, 100.0, "0: none", 4000),
            Number("loan_rate", "Interest", "% a year", 0.0, 20.0, 0.25, example=5.5),
            Number("loan_years", "Paid back in", "years", 1.0, 30.0, 1.0, example=5),
            Number("life", "The machine lasts", "years", 5.0, 40.0, 1.0, example=17),
            Number("years", "Years looked at", "years", 5.0, 40.0, 1.0, example=20),
            Number("rate", "Waiting a year is worth", "%", -2.0, 15.0, 0.25, "the discount rate", 3.5),
        ]

    def _first(self) -> Values:
        credit, terms = self._ledger.credit, self._case.money
        lives = [part.life_years for part in (terms.part or () if terms else ()) if part.of == "heat_pump"]
        return {
            "price": self._ledger.price, "grant": self._ledger.supports,
            "loan": credit.amount if credit else 0.0,
            "loan_rate": 100.0 * credit.rate_per_year if credit else 5.0,
            "loan_years": credit.years if credit and credit.years else 5.0,
            "life": lives[0] if lives else 20.0,
            "years": float(terms.horizon_years) if terms else 20.0,
            "rate": round(100.0 * terms.discount_rate, 3) if terms else 3.5,
        }  # fmt: skip

    def _work_out(self) -> None:
        changes: dict[str, Any] = {}
        price, grant = (float(self.values[name] or 0.0) for name in ("price", "grant"))
        if grant > price:
            written = self._case.notation
            given, allowed = (
                f"a grant of {written.money(grant)}",
                f"is more than the {written.money(price)} of the offer",
            )
            raise CaseError(Fault("", given, allowed, "Write what is really granted, or the whole price"))
        if self.differs("price", "grant", *LOAN):
            options = [dict(option) for option in self._case.stated["option"]]
            options[self._place] = options[self._place] | {"ledger": self._moved()}
            changes["option"] = options
        if self.differs("life"):
            changes["money.part"] = self._parts()
        if self.differs("years"):
            changes["money.horizon_years"] = int(float(self.values["years"] or 0.0))
        if self.differs("rate"):
            changes["money.discount_rate"] = float(self.values["rate"] or 0.0) / 100.0
        case = vary(self._case, changes) if changes else self._case
        self.worth = worth(case, comparison=self.comparison)
        self.case = case  # not before: what is refused is not saved either

    def _moved(self) -> dict[str, Any]:
        """The ledger with another price, grant and loan: its lines in proportion, so that their days stay."""
        price, grant, loan, rate, years = (
            float(self.values[name] or 0.0) for name in ("price", "grant", *LOAN)
        )  # fmt: skip
        table = self._ledger.model_dump(by_alias=True, exclude_none=True, mode="json")
        table["item"] = [line | _in_proportion(line, self._ledger, price, grant) for line in table["item"]]
        first = min((line.date for line in self._ledger.item if line.kind in COSTS), default=dt.date(2026, 1, 1))
        if grant and not self._ledger.supports:
            table["item"].append({"label": GRANT, "amount": grant, "date": first.isoformat(), "kind": "grant"})
        paid = table.pop("credit", {})
        if loan:
            begins = paid.get("first_payment", first.isoformat())
            table["credit"] = {"amount": loan, "rate_per_year": rate / 100.0, "first_payment": begins, "years": years}
        return table

    def _parts(self) -> list[dict[str, Any]]:
        """Parts that are replaced, those of the heat pump at the age that was set."""
        life, terms = float(self.values["life"] or 0.0), self._case.money
        parts = [
            part.model_dump(by_alias=True, exclude_none=True, mode="json")
            for part in (terms.part or () if terms else ())
        ]
        mine = [part for part in parts if part["of"] == "heat_pump"]
        for part in mine:
            part["life_years"] = life
        new = {"name": PART, "of": "heat_pump", "cost": self._ledger.price, "life_years": life}
        return parts if mine else [*parts, new]

    def answer(self, *, ranged: bool = False) -> Answer:
        """What the options are worth; what decides it, and its odds, once nothing moves."""
        return worth_answer(self.worth, self.case.name, samples=SAMPLES if ranged else 0)


def _in_proportion(line: Mapping[str, Any], ledger: Ledger, price: float, grant: float) -> dict[str, float]:
    """The amount of one line, moved as the whole of its kind was."""
    if "amount" not in line:
        return {}
    whole, wanted = (ledger.price, price) if line["kind"] in COSTS else (ledger.supports, grant)
    moves = line["kind"] in (*COSTS, *SUPPORTS) and whole
    return {"amount": round(line["amount"] * wanted / whole, 2)} if moves else {}

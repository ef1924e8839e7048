"""A case in; a form of a home that answers in money and writes a case file out. No widget is known here."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import replace
from pathlib import Path

from simkit.answers.answer import Answer
from simkit.answers.comparison import comparison_answer
from simkit.case.build import vary
from simkit.case.case import Case
from simkit.errors import Fault, SimkitError
from simkit.panels.form.bare import bare, invented
from simkit.panels.form.case import Changes, changes_of, first_values, made_whole
from simkit.panels.form.extras import alike, cop_at_7_35, ledger_of, offer_changes, scaled
from simkit.panels.form.fields import (
    COP,
    FILE,
    FLAT,
    FUELS,
    GAS_STANDING_PER_DAY,
    GOES,
    GROUPS,
    ONE_UNIT,
    SPF,
    STAYS,
    TWO,
    UNIT_WORDS,
    UNKNOWN,
    form_fields,
    unit_field,
    usual_price,
)
from simkit.panels.machine import machine_picture
from simkit.panels.settings import Settings, Values
from simkit.panels.writing import read_named
from simkit.year.compare import Comparison, compare

PUMP, LIVED, SAME = "Heat pump", "as lived", "same comfort"
# key of the case in a message: field of the form
ASKED_BY = {
    "fuel_amount": "fuel_amount", "fuel_unit": "fuel_unit", "kwh_per_unit": "kwh_per_unit", "design_kw": "survey_kw",
    "design_outdoor_c": "survey_c", "floor_area_m2": "floor_area", "capacity_kw": "capacity_kw",
    "capacity_7_35_kw": "capacity_kw", "design_flow_c": "flow_c", "sized_for_flow_c": "sized_c", "flow_c": "day_c",
    "amount": "wood", "volume_l": "volume_l", "people": "people", "litres_per_day_at_40": "people",
    "annual_kwh": "household_kwh",
    "price_per_unit": "fuel_price", "standing_per_day": "fuel_standing", "over_c": "day_c", "setback_c": "night_c",
    "periods": "to", "from": "from", "to": "to", "c": "day_c", "heating_limit_c": "climate",
}  # fmt: skip
FOLLOWING = ("kwh_per_unit", "fuel_amount", "fuel_price")
BOUGHT = tuple(kind for kind in FUELS if kind != "electricity")
ONLY_WITH = {  # a field, and the values of another with which it has a meaning
    "fuel_amount": ("know", ("fuel",)), "survey_kw": ("know", ("survey",)), "survey_c": ("know", ("survey",)),
    "wood": ("stove", (STAYS, GOES)), "wood_price": ("stove", (STAYS, GOES)),
    "fuel_price": ("fuel_kind", BOUGHT), "fuel_unit": ("fuel_kind", BOUGHT), "known_spf": ("known", (SPF, COP)),
    "price": ("price_kind", (FLAT, TWO)), "cheap_price": ("price_kind", (TWO,)),
    "cheap_from": ("price_kind", (TWO,)), "cheap_to": ("price_kind", (TWO,)),
    "standing": ("price_kind", (FLAT, TWO)), "tariff": ("price_kind", (FILE,)),
}  # fmt: skip


class HomeForm(Settings):
    """A form of two dozen fields about one home, of which about a dozen matter to anybody.

    Parameters
    ----------
    start
        The case that the form begins with; what nobody changes stays as it is there.
    folder
        Where the file is written, and beside which sample homes are looked for; None for the current folder.

    Attributes
    ----------
    case, comparison
        The home as the form last said it without a fault, and its options beside each other.
    """

    slides = False
    comparison: Comparison

    def __init__(self, start: Case, folder: str | Path | None = None) -> None:
        super().__init__(folder)
        self.begin(start)
        if (self.folder / self.file).is_file() and start.label != self.file:  # a file of that name that was not read
            case, said = read_named(self.file, self.folder)
            self.trouble = () if case is not None else (said,)

    def begin(self, case: Case) -> None:
        """Stand on another home."""
        whole = made_whole(case)
        first = first_values(whole)
        self.start = bare(whole, first) if invented(case) else whole
        first = first_values(self.start) if invented(case) else first
        fields = form_fields(self.start, self.folder)
        self._begin(fields | {"fuel_unit": unit_field(str(first["fuel_kind"]))}, first)
        self._count_energy()
        self._work_out()

    def set_all(self, given: Mapping[str, object]) -> None:
        """Read what was typed or chosen, one field after the other, for the units of a fuel follow it; answer anew."""
        for name, what in given.items():
            self._take(self._read({name: what}))
        self._change({})

    def _change(self, wanted: Values, *, news: bool = True) -> None:
        """Answer anew whatever was typed: a fault, too, is news, and the last answer stays beside it."""
        self._take(wanted)
        self._work_out()
        self._tell()

    def _take(self, wanted: Values) -> None:
        for name, value in wanted.items():
            if value != self.values[name]:
                self.values[name] = value
                self._follow(name)

    @property
    def groups(self) -> Mapping[str, tuple[str, ...]]:
        """The fields by what they are about."""
        return GROUPS

    def _follow(self, name: str) -> None:
        """Let unit, amount and price follow another fuel or unit, so that the energy of the year stays as it was."""
        values, first = self.values, self.first
        if name == "fuel_amount":
            self._count_energy()
        if name == "kwh_per_unit":
            self._fill(float(values[name] or 0.0))
        if name not in ("fuel_kind", "fuel_unit"):
            return
        kind = str(values["fuel_kind"])
        if name == "fuel_kind":
            self.fields["fuel_unit"] = unit_field(kind)
            values["fuel_unit"] = (
                first["fuel_unit"] if kind == first["fuel_kind"] else next(iter(FUELS[kind].kwh_per_unit))
            )
            gas = GAS_STANDING_PER_DAY.get(self.start.currency, 0.0)
            values["fuel_standing"] = gas if kind == "gas" else 0.0
        values |= dict.fromkeys(FOLLOWING)
        if (kind, values["fuel_unit"]) == (first["fuel_kind"], first["fuel_unit"]):
            values |= {key: first[key] for key in ("kwh_per_unit", "fuel_price", "fuel_standing")}
        else:
            values["kwh_per_unit"] = FUELS[kind].kwh_per_unit[str(values["fuel_unit"])]
        if values["kwh_per_unit"] is not None:
            self._fill(float(values["kwh_per_unit"]))
        for key in FOLLOWING:
            self.problems.pop(key, None)
            self.typed.pop(key, None)

    def _count_energy(self) -> None:
        """Remember the energy of the year [kWh]; a kWh is a kWh whatever the fuel is sold in."""
        holds = 1.0 if self.values["fuel_unit"] == "kWh" else float(self.values["kwh_per_unit"] or 0.0)
        self._year_kwh = float(self.values["fuel_amount"] or 0.0) * holds

    def _fill(self, holds: float) -> None:
        """Fill in amount and price where another fuel or unit left them blank, now that the unit's energy is known."""
        if self.values["fuel_amount"] is None and holds:
            self.values["fuel_amount"] = float(f"{self._year_kwh / holds:.4g}")
            self.problems.pop("fuel_amount", None)
        if self.values["fuel_price"] is None:
            self.values["fuel_price"] = usual_price(self.start.currency, str(self.values["fuel_kind"]), holds)
            self.problems.pop("fuel_price", None)

    def _work_out(self) -> None:
        """Read what is blank as missing, make the case and simulate it."""
        asked = self.shown("kwh_per_unit") and self.values["kwh_per_unit"] is None  # what else is blank waits for it
        for name, value in self.values.items():
            waits = asked and name in FOLLOWING and name != "kwh_per_unit"
            if value is None and name not in self.problems and self.shown(name) and not waits:
                self.problems[name] = self.fields[name].read("").problem
        self.problems = {name: words for name, words in self.problems.items() if self.shown(name)}
        self.trouble = ()
        if not self.problems:
            try:
                case = self._described()
                self.comparison, self.case = compare(case), case
            except SimkitError as error:
                self._blame(error.faults)

    def _described(self) -> Case:
        """The case with what was changed laid over it, and with its options: heat pump and old heating."""
        changes = changes_of(self.start, self.first, self.values, self.folder)
        case = vary(self.start, changes) if changes else self.start
        if self.values["known"] != UNKNOWN:
            case = scaled(case, str(self.values["known"]), float(self.values["known_spf"] or 0.0))
        burner = FUELS[str(self.values["fuel_kind"])].burner
        old = {"heat_source": "boiler"}
        ledger, money = offer_changes(case, self.values) if self.differs("offer", "grant") else ({}, {})
        stated = {str(option["name"]): option for option in case.stated.get("option", ())}
        ledger = ledger or ledger_of(stated.get(PUMP, {}))
        options: list[dict[str, object]] = [{"name": PUMP, **ledger}, {"name": f"{burner}, {SAME}", **old}]
        if case.boiler is not None and case.boiler.as_operated is not None:
            options.insert(1, {"name": f"{burner}, {LIVED}", **old, "as_operated": True})
        if case.ledger is not None:
            options[1:] = [option | {"without": ["ledger"]} for option in options[1:]]
        written = {f"{fuel.burner}, {how}" for fuel in FUELS.values() for how in (LIVED, SAME)}
        by_hand = [option for name, option in stated.items() if name not in (PUMP, *written)]  # they stay, once each
        options = [next((one | ledger_of(mine) for one in by_hand if alike(one, mine)), mine) for mine in options]
        names = [option["name"] for option in options]
        options += [option for option in by_hand if option["name"] not in names]
        kept = case.baseline in [option["name"] for option in options]
        said: Changes = {"option": options, "baseline": case.baseline if kept else names[1], **money}
        return vary(case, said | ({"note": self._left()} if invented(self.start) else {}))

    @property
    def derived(self) -> tuple[str, ...]:  # type: ignore[override]
        """What follows from the fields: set-points, heat loss, COP."""
        case, written = self.case, self.case.notation
        span, loss = case.controls.periods[0], self.comparison.years[0].loss_w_per_k
        return (
            f"The controller is set to {written.brief(span.c)} °C from {span.start} to {span.end} and to "
            f"{written.brief(case.controls.setback_c)} °C otherwise.",
            f"The house loses {written.number(loss, 0)} W for each kelvin between indoors and outdoors.",
            f"The heat pump's COP at 7/35 °C is taken as {written.number(cop_at_7_35(case), 1)}.",
        )

    @property
    def held(self) -> bool:
        """Whether the heat pump keeps rooms and hot water as warm as needed."""
        return self.comparison.years[0].comfort.held

    def _left(self) -> str:
        """Which fields still hold a value that nobody typed."""
        left = [self.label(name) for name in self.fields if self.shown(name) and not self.differs(name)]
        return f"Made with the home form. Not changed there: {', '.join(left)}." if left else "Made with the home form."

    def _blame(self, faults: Iterable[Fault]) -> None:
        """Put every fault beside the field that asked for it, in the words of the form."""
        left = []
        for fault in faults:
            keys = re.findall(r"[a-z_0-9]+", f"{fault.given.partition(' = ')[0]} {fault.where.partition(': ')[2]}")
            name = next((ASKED_BY[key] for key in keys if key in ASKED_BY), "")
            if name and self.shown(name):
                words = fault.given.rpartition(" = ")[2].strip('"')
                self.problems.setdefault(name, f"{words} {fault.allowed}. {fault.remedy}.")
            else:
                left.append(str(fault))
        self.trouble = tuple(dict.fromkeys(left))

    def shown(self, name: str) -> bool:
        """Whether a field has a meaning, given the others."""
        if name in ONLY_WITH:
            other, meant = ONLY_WITH[name]
            return self.values[other] in meant
        if name == "kwh_per_unit":  # only where nobody can know it but the supplier
            return FUELS[str(self.values["fuel_kind"])].kwh_per_unit.get(str(self.values["fuel_unit"])) is None
        if name == "fuel_standing":
            return self.values["fuel_kind"] == "gas" or bool(self.first[name])
        return name != "grant" or bool(self.values["offer"])

    def label(self, name: str) -> str:
        """What stands beside a field."""
        if name == "kwh_per_unit":
            return f"One {ONE_UNIT[str(self.values['fuel_unit'])]} holds, gross"
        return self.fields[name].label

    def unit(self, name: str) -> str:
        """What stands behind a field."""
        unit = str(self.values["fuel_unit"])
        if name == "fuel_amount":
            return UNIT_WORDS[unit]
        return f"{self.fields[name].unit} a {ONE_UNIT[unit]}" if name == "fuel_price" else self.fields[name].unit

    def reset(self, *names: str) -> None:
        """Put fields back to the case that the form began with; all of them where none is named."""
        chosen = names or tuple(self.values)
        self.values |= {name: self.first[name] for name in chosen}  # at once: nothing follows what is put back
        self.fields["fuel_unit"] = unit_field(str(self.values["fuel_kind"]))
        self._count_energy()
        super().reset(*chosen)

    def restore(self, state: Mapping[str, object]) -> None:
        """Take over a state; a name that is no field, or a value that can't be read, is told as a problem."""
        super().restore(dict(sorted(state.items(), key=lambda item: item[0] not in ("fuel_kind", "fuel_unit"))))
        unknown = [name for name in state if name not in self.fields]
        self.trouble += tuple(f'"{name}" is not a field of the form. It was left out.' for name in unknown)

    def answer(self, *, ranged: bool = False) -> Answer:
        """The home as the form last said it without a fault: heat pump and old heating beside each other."""
        said = comparison_answer(self.comparison, self.case.name, ranged=ranged, whole=False)
        return replace(said, pictures=(said.pictures[0], machine_picture(self.comparison.years[0])))

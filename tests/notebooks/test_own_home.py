"""Every notebook answers for a home of your own, the one that the form writes and homes by hand; nothing is a kernel."""

from __future__ import annotations

import ast
import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import matplotlib as mpl
import pytest
from homes import changed

from simkit.case.build import vary
from simkit.case.load import write_case
from simkit.case.sample_homes import sample_file
from simkit.panels import HomeForm
from simkit.panels.my_case import MY_HOME, found_case

CHECKOUT = Path(__file__).parents[2]
NOTEBOOKS = ("01_your_home_your_year", "02_which_flow_temperature", "03_which_tariff", "04_panels_and_battery",
             "06_worth_it_and_what_next")  # fmt: skip


def cells(path: Path) -> Iterator[ast.Module]:
    """Code of a notebook, cell by cell."""
    held = json.loads(path.read_text(encoding="utf-8"))
    for cell in held["cells"]:
        if cell["cell_type"] == "code":
            yield ast.parse("".join(cell["source"]))


def run(path: Path) -> list[Any]:
    """Run the cells of a notebook in this process; what each of them would show."""
    space: dict[str, Any] = {}
    shown = []
    for cell in cells(path):
        last = cell.body[-1]
        body = cell.body[:-1] if isinstance(last, ast.Expr) else cell.body
        exec(compile(ast.Module(body, []), path.name, "exec"), space)
        if isinstance(last, ast.Expr):
            shown.append(eval(compile(ast.Expression(last.value), path.name, "eval"), space))
    return shown


@pytest.fixture(scope="module")
def mine(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with the file that the form writes: gas, two prices, an offer."""
    folder = tmp_path_factory.mktemp("mine")
    form = HomeForm(found_case((), CHECKOUT).case, folder)
    form.set_all({"fuel_kind": "gas", "floor_area": 95, "price_kind": "two", "day_c": 21, "offer": 11000})
    form.case = vary(form.case, {"uncertainty.lanes": 16})
    assert form.write().path == folder / MY_HOME
    return folder


@pytest.mark.parametrize("name", NOTEBOOKS)
def test_a_notebook_answers_for_the_form_s_home(name: str, mine: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(mine)
    mpl.use("Agg")
    shown = run(CHECKOUT / "notebooks" / f"{name}.ipynb")
    assert shown
    for one in shown:
        assert hasattr(one, "_repr_mimebundle_") or hasattr(one, "_ipython_display_")
    last = shown[-1] if name != "06_worth_it_and_what_next" else shown[0]
    said = last.answer() if hasattr(last, "answer") and callable(last.answer) else last
    assert said.title in ("My home", "Heat pump", "Gas boiler, as lived")


@pytest.mark.parametrize(
    ("sample", "changes", "lacks"),
    [
        ("canal_terrace", {}, ("rooms",)),
        ("moor_cottage", {"option": None, "baseline": None}, ("rooms", "offers")),
        ("harbour_flat", {"money": None, "ledger": None, "option": None, "baseline": None}, ("offers", "measures")),
        ("estuary_bungalow", {"boiler": None, "fuel": None, "option": None, "baseline": None}, ("boiler", "offers")),
        ("estuary_bungalow", {"solar": None}, ("readings", "rooms")),
        ("canal_terrace", {"heat_source": "boiler", "option": None, "baseline": None}, ("heat_pump", "offers")),
        ("estuary_bungalow", {"baseline": None}, ("offers",)),  # a saving is one against something that is named
    ],
)
def test_a_home_by_hand_is_taken_and_what_it_lacks_is_named(
    sample: str, changes: dict[str, Any], lacks: tuple[str, ...], tmp_path: Path
) -> None:
    assert sample_file(sample).is_file()
    write_case(vary(changed(sample), {"name": "By hand", **changes}), tmp_path / MY_HOME)
    assert found_case((), tmp_path).case.name == "By hand"
    for need in lacks:
        assert "lacks what this question needs. Add " in found_case((need,), tmp_path).line

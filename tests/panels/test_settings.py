"""What every panel shares: values within limits, refusals that change nothing, reset, state and listeners."""

from __future__ import annotations

from pathlib import Path

import pandas as pd
import pytest

from panels.conftest import sample
from simkit.errors import CaseError, Fault
from simkit.panels.fields import Choice, Number
from simkit.panels.settings import Settings

FIELDS = [
    Number("flow_c", "Flow", "°C", 25.0, 60.0, 1.0, example=45),
    Choice("led", "Led by", (("hand", "the slider"), ("rooms", "the rooms"))),
]
FIRST = {"flow_c": 55.0, "led": "hand"}


class Panel(Settings):
    """Doubles the flow; a flow of 50 °C is refused."""

    def __init__(self, folder: Path) -> None:
        super().__init__(folder)
        self.case = sample("estuary_bungalow")
        self._begin({field.name: field for field in FIELDS}, FIRST)
        self._work_out()

    def _work_out(self) -> None:
        if self.values["flow_c"] == 50.0:
            raise CaseError(Fault("panel", "50 °C", "is refused", "Choose another"))
        self.doubled = 2.0 * float(self.values["flow_c"] or 0.0)

    def table(self) -> pd.DataFrame:
        return pd.DataFrame({"doubled": [self.doubled]}, index=pd.Index(["this"], name="row"))


@pytest.fixture
def panel(tmp_path: Path) -> Panel:
    return Panel(tmp_path)


def test_a_value_is_taken_and_what_it_makes_is_worked_out(panel: Panel) -> None:
    panel.set("flow_c", "40,5")
    assert (panel.doubled, panel.differs("flow_c"), panel.differs("led")) == (81.0, True, False)
    assert panel.differs(*panel.values)
    assert panel.csv() == "row,doubled\nthis,81.0\n\nsetting,value\nFlow,40.5 °C\nLed by,the slider\n"


def test_what_can_not_be_read_is_marked_and_kept_as_typed(panel: Panel) -> None:
    panel.set("flow_c", "warm")
    assert panel.problems == {"flow_c": '"warm" is not a number. Write a number such as 45.'}
    assert (panel.text("flow_c"), panel.values["flow_c"], panel.good) == ("warm", 55.0, False)
    assert panel.write().sentence == "Nothing was written. Mend what is marked first."
    panel.reset("flow_c")
    assert (panel.text("flow_c"), panel.problems, panel.good) == ("55", {}, True)


def test_what_is_refused_puts_every_value_back(panel: Panel) -> None:
    panel.set_all({"flow_c": 50, "led": "rooms"})
    assert panel.values == FIRST
    assert panel.doubled == 110.0
    assert panel.problems == {"flow_c": "panel: 50 °C is refused. Choose another."}
    assert panel.text("flow_c") == "50"
    panel.set("flow_c", 55)
    assert panel.good


def test_whoever_listens_is_told_of_every_change_and_of_every_mark(panel: Panel) -> None:
    told: list[tuple[object, bool]] = []
    panel.on_change(lambda: told.append((panel.values["flow_c"], panel.good)))
    panel.set("flow_c", 40)
    panel.set("flow_c", 40)  # nothing moved
    panel.set("flow_c", "warm")
    panel.set("flow_c", 40)  # the mark goes
    panel.reset()
    panel.reset()
    assert told == [(40.0, True), (40.0, False), (40.0, True), (55.0, True)]


def test_a_state_goes_out_and_in(panel: Panel) -> None:
    panel.restore({"flow_c": 40, "led": "rooms", "colour": "blue"})
    state = panel.state()
    assert state == {"flow_c": 40.0, "led": "rooms"}
    panel.reset("led")
    assert panel.state() == {"flow_c": 40.0, "led": "hand"}
    panel.restore(state)
    assert panel.state() == state


def test_a_case_file_has_the_panel_s_name_where_none_is_given(panel: Panel, tmp_path: Path) -> None:
    assert panel.write(" ").path == tmp_path / "my_home.toml"
    assert panel.write("mine").path == tmp_path / "mine.toml"

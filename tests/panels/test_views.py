"""The thin views, without a browser: what they show follows the models, and what is typed reaches them."""

from __future__ import annotations

from collections.abc import Callable
from html import unescape
from pathlib import Path
from typing import Any

import ipywidgets as widgets
import pytest

from simkit.panels import show, showing
from simkit.panels.flow_and_times.model import Trial
from simkit.panels.flow_and_times.view import TrialView
from simkit.panels.form.form import HomeForm
from simkit.panels.form.view import FormView


def click(button: Any) -> None:
    button.click()


def buttons(view: Any) -> dict[str, Any]:
    """Every button of a view by its tooltip."""
    found: dict[str, Any] = {}
    queue = [view.widget]
    while queue:
        part = queue.pop()
        queue += list(getattr(part, "children", ()))
        if isinstance(part, widgets.Button):
            found[part.tooltip] = part
    return found


def test_the_form_shows_its_answer_first(form: Callable[..., HomeForm]) -> None:
    found = form()
    view = FormView(found)
    said = found.answer(ranged=True)  # no event loop runs here, so that the range comes at once
    assert all(sentence in unescape(view.words.value) for sentence in said.sentences)
    assert "Oil boiler, same comfort" in view.tables.value
    assert all(caution in unescape(view.cautions.value) for caution in said.cautions)
    assert bytes(view.image.value).startswith(b"\x89PNG")
    assert view.inputs["flow_c"].description == "Flow on the coldest day [°C]"
    assert view.inputs["fuel_price"].description == "Fuel price [EUR a litre]"
    assert view.rows["survey_kw"].layout.display == "none"


def test_what_is_typed_into_the_form_is_answered_and_marked(form: Callable[..., HomeForm]) -> None:
    found = form()
    view = FormView(found)
    before = view.words.value
    view.inputs["flow_c"].value = "47,5"
    assert found.values["flow_c"] == 47.5
    assert view.inputs["flow_c"].value == "47.5"
    assert view.words.value != before
    assert "moved" in view.inputs["flow_c"]._dom_classes
    view.inputs["fuel_kind"].value = "gas"
    assert view.inputs["fuel_unit"].options[0] == ("kWh", "kWh")
    assert view.inputs["fuel_amount"].description == "Burnt in a year [kWh]"
    click(buttons(view)["Reset all"])
    assert "moved" not in view.inputs["flow_c"]._dom_classes
    assert view.words.value == before


def test_a_fault_stands_beside_its_field(form: Callable[..., HomeForm]) -> None:
    view = FormView(form())
    view.inputs["floor_area"].value = "big"
    assert "&quot;big&quot; is not a number" in view.hints["floor_area"].value
    assert view.hints["floor_area"].layout.display == ""
    assert view.inputs["floor_area"].value == "big"
    assert "mend what is marked" in view.likely.value
    click(buttons(view)["Reset: The house"])
    assert view.hints["floor_area"].value == ""


def test_the_form_says_where_it_wrote_and_that_it_does_not_overwrite(
    form: Callable[..., HomeForm], tmp_path: Path
) -> None:
    view = FormView(form())
    write = buttons(view)["Write case file"]
    click(write)
    assert str(tmp_path / "my_home.toml") in view.said.value
    assert (tmp_path / "my_home.toml").exists()
    click(write)
    assert "was not overwritten" in view.said.value


def test_a_slider_moves_picture_box_table_and_sentence(trial: Callable[..., Trial]) -> None:
    found = trial()
    view = TrialView(found)
    picture, words = view.image.value, view.words.value
    view.inputs["flow_c"].value = 47.0
    assert found.values["flow_c"] == 47.0
    assert view.boxes["flow_c"].value == "47"
    assert view.image.value != picture
    assert view.words.value != words
    assert all(sentence in unescape(view.words.value) for sentence in found.answer(ranged=True).sentences)
    assert "This setting" in view.tables.value
    assert view.inputs["flow_c"].description == "Flow on the coldest day [°C], case 55"
    assert "moved" in view.inputs["flow_c"]._dom_classes
    click(buttons(view)["Reset: Flow on the coldest day"])
    assert (view.image.value, view.words.value) == (picture, words)
    assert view.resets["flow_c"].disabled


def test_a_box_moves_its_slider_or_says_why_not(trial: Callable[..., Trial]) -> None:
    view = TrialView(trial())
    view.boxes["night_c"].value = "17,5"
    assert view.inputs["night_c"].value == 17.5
    view.boxes["water_from"].value = "2.30"
    assert view.inputs["water_from"].value == "02:30"
    view.boxes["flow_c"].value = "90"
    assert view.inputs["flow_c"].value == 55.0
    assert "90 °C is outside 25 to 62 °C" in view.hints["flow_c"].value
    view.inputs["flow_c"].value = 50.0
    assert "90" not in view.hints["flow_c"].value
    assert view.boxes["flow_c"].value == "50"


def test_the_table_is_there_to_copy(trial: Callable[..., Trial]) -> None:
    view = TrialView(trial())
    assert view.csv.layout.display == "none"
    view.show_csv.value = True
    assert view.csv.layout.display == ""
    assert view.csv.value.startswith("option,year_cost,")
    view.inputs["flow_c"].value = 50.0
    assert "50 °C" in view.csv.value


def test_settings_follow_another_home(form: Callable[..., HomeForm]) -> None:
    found = form()
    view = TrialView(Trial(found))
    found.set("fuel_kind", "gas")
    assert "Gas boiler, as lived" in view.words.value
    found.set("day_c", 22)
    assert view.inputs["night_c"].max == 22.5


def test_show_gives_a_widget_or_says_how_to_go_on_without(
    form: Callable[..., HomeForm], monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    found = form()
    assert isinstance(show(found), widgets.VBox)
    monkeypatch.setattr(showing, "find_spec", lambda name: None)
    assert show(found) is found
    bare = "Without ipywidgets nothing here can be moved: change it with set(name, value) and show it again."
    assert capsys.readouterr().out.strip() == bare
    for model in (found, Trial(found)):
        html = model._repr_html_()
        assert "Oil boiler, as lived" in html
        assert "<table" in html

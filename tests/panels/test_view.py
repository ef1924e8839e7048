"""The one view, without a browser: what it shows follows the model, and what is typed reaches it."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from html import unescape
from pathlib import Path
from typing import Any

import pytest
from IPython import display as shown

from panels.conftest import few_lanes
from simkit.figures.style import contrast
from simkit.panels import showing
from simkit.panels.flow_and_times.model import Trial
from simkit.panels.form.form import HomeForm
from simkit.panels.view import PanelView


@pytest.fixture
def view(trial: Callable[..., Trial]) -> PanelView:
    return PanelView(trial())


def plain(text: str) -> str:
    """Text of a page, its no-break spaces as any other."""
    return " ".join(unescape(text).split())


def row(view: PanelView, name: str) -> dict[str, Any]:
    """What the browser is told of a setting."""
    return dict(view.state["rows"][name])


def test_what_the_browser_is_told_is_json_and_the_answer_stands_in_it(view: PanelView) -> None:
    json.dumps([view.state, view.settled], allow_nan=False)
    said = view.model.answer(ranged=True)  # no event loop runs here, so that the range comes at once
    shown = plain(view.state["words"] + view.state["tables"])
    assert all(plain(sentence) in shown for sentence in said.sentences)
    assert all(plain(caution) in plain(view.settled["cautions"]) for caution in said.cautions)
    assert view.picture.startswith(b"\x89PNG")
    assert view.state["alt"] == said.pictures[0].sentence
    assert {"kind": "number", "low": 25.0, "high": 62.0, "slides": True, "moved": False}.items() <= row(
        view, "flow_c"
    ).items()


def test_a_wish_moves_picture_words_and_row_and_bears_its_number(view: PanelView) -> None:
    picture, words = view.picture, view.state["words"]
    view.ask({"set": {"flow_c": "42,5"}, "seq": 7})
    assert view.model.values["flow_c"] == 42.5
    assert view.picture != picture
    assert view.state["words"] != words
    assert view.state["seq"] == 7
    assert (row(view, "flow_c")["text"], row(view, "flow_c")["was"]) == ("42.5", "your home: 55")
    assert not view.state["held"], "a cool home stands in another colour"
    view.ask({"reset": ["flow_c"], "seq": 8})
    assert view.state["held"]
    assert (view.picture, view.state["words"]) == (picture, words)


def test_what_can_not_be_taken_stands_beside_its_field_and_the_answer_says_what_it_is_of(view: PanelView) -> None:
    view.ask({"set": {"flow_c": "90"}})
    assert row(view, "flow_c")["problem"].startswith("90 °C is outside 25 to 62 °C")
    assert row(view, "flow_c")["text"] == "90"
    assert "mend what is marked" in view.state["trouble"]
    view.ask({"set": {"flow_c": 50}})
    assert (row(view, "flow_c")["problem"], view.state["trouble"]) == ("", "")


def test_three_settings_can_be_pinned_and_stand_in_the_answer(view: PanelView) -> None:
    for flow in (50, 45, 40):
        view.ask({"set": {"flow_c": flow}})
        view.ask({"pin": True})
    assert view.state["pins"][0][:2] == ("A", "Flow on the coldest day 50 °C")
    assert "a year costs about" in view.state["pins"][0][2]
    view.ask({"pin": True})
    assert view.state["said"] == "3 settings are pinned already. Drop one first."
    assert view.state["refused"]
    assert "“Pinned B”" in plain(view.state["words"] + view.state["tables"])
    view.ask({"unpinned": ["A", True]})
    assert view.model.values["flow_c"] == 50.0
    assert [name for name, _, _ in view.state["pins"]] == ["B", "C"]


def test_a_setting_is_saved_loaded_and_never_written_over(tmp_path: Path) -> None:
    view = PanelView(Trial(few_lanes("canal_terrace"), tmp_path))  # its own: it stands on another home afterwards
    view.ask({"set": {"flow_c": 48}})
    view.ask({"save": "mine"})
    assert str(tmp_path / "mine.toml") in view.state["said"]
    view.ask({"save": "mine"})
    assert "was not overwritten" in view.state["said"]
    view.ask({"reset": []})
    view.ask({"load": "mine"})
    assert view.model.values["flow_c"] == 48.0
    text = (tmp_path / "mine.toml").read_text(encoding="utf-8").replace("design_flow_c = 48", "design_flow_c = 480")
    view.ask({"upload": {"field": "", "name": "broken.toml", "text": text}})
    assert view.state["refused"]
    assert "broken.toml: [controls] design_flow_c = 480" in view.state["said"]
    assert view.model.values["flow_c"] == 48.0, "nothing was lost"


def test_the_table_is_there_to_copy(view: PanelView) -> None:
    assert view.settled["csv"].startswith("option,year_cost,")
    view.ask({"set": {"flow_c": 50}})
    assert "50 °C" in view.settled["csv"]


def test_the_form_shows_what_follows_and_hides_what_has_no_meaning(form: Callable[..., HomeForm]) -> None:
    view = PanelView(form())
    assert row(view, "fuel_price")["unit"] == "EUR a litre"
    assert not row(view, "survey_kw")["shown"]
    assert not row(view, "flow_c")["slides"]
    view.ask({"set": {"fuel_kind": "gas"}})
    assert row(view, "fuel_unit")["options"][0] == ["kWh", "kWh"]
    view.ask({"set": {"floor_area": "big"}})
    assert '"big" is not a number' in row(view, "floor_area")["problem"]


def test_a_saved_notebook_keeps_a_still_copy_with_picture_table_and_line(
    trial: Callable[..., Trial], monkeypatch: pytest.MonkeyPatch
) -> None:
    outputs: list[dict[str, str]] = []
    monkeypatch.setattr(shown, "display", lambda bundle, **_: outputs.append(bundle))
    found = trial()
    found.set("flow_c", 50)
    found._ipython_display_()
    live, still = outputs
    assert showing.VIEW in live
    assert live["text/plain"] == showing.LIVE
    assert "A static copy of a panel, with Flow on the coldest day 50 °C." in plain(still["text/html"])
    assert "data:image/svg+xml;base64," in still["text/html"]
    assert "<table" in still["text/html"]
    assert "http" not in still["text/html"].replace("http://www.w3.org", "")
    monkeypatch.setattr(showing, "find_spec", lambda name: None)
    found._ipython_display_()
    assert outputs[2] == {"text/plain": showing.BARE}


def test_every_colour_of_text_reads_on_its_paper_light_and_dark() -> None:
    found = [dict(re.findall(r"--([a-z-]+): (#[0-9a-f]{3,6})", line)) for line in PanelView._css.splitlines()]
    themes = [named for named in found if "paper" in named]
    assert len(themes) == 3  # light, a dark notebook, a dark page
    assert {named["paper"] for named in themes} == {"#fff", "#11191d"}
    for named in themes:
        paper = "#ffffff" if named["paper"] == "#fff" else named["paper"]
        for text in ("ink", "muted", "wrong", "outdoor"):
            for behind in (paper, named["warn"], named["short"]):
                assert contrast(named[text], behind) >= 4.5, (text, behind)  # WCAG 2.1, 1.4.3
        assert contrast(named["edge"], paper) >= 3.0  # 1.4.11


def test_a_move_sends_no_more_than_it_shows_and_what_is_long_waits(view: PanelView) -> None:
    before = view.settled
    view._sharper.call = lambda: None  # type: ignore[method-assign]  # as in a drag, which never settles
    view.ask({"set": {"flow_c": 50}})
    assert view.settled is before
    assert len(json.dumps(view.state)) < 20_000

"""Tables and sentences as HTML: selectable, named, escaped."""

from __future__ import annotations

import re

import pandas as pd

from simkit.figures.style import contrast
from simkit.panels.look import STYLE, answer_html, hint_html, table_html, wrong_html


def test_a_table_names_its_rows_and_columns_and_itself() -> None:
    frame = pd.DataFrame({"cost": ["1", "2"], "comfort": ["warm", "cold & damp"]}, index=["A <b>", "B"])
    html = table_html(frame, label="What it costs", text=["comfort"])
    assert html.count("<tr>") == 3
    assert 'aria-label="What it costs"' in html
    assert '<th scope="row">A &lt;b&gt;</th><td>1</td><td class="text">warm</td>' in html
    assert '<th scope="col">cost</th><th scope="col" class="text">comfort</th>' in html
    assert "cold &amp; damp" in html


def test_what_was_typed_is_never_taken_for_html() -> None:
    assert wrong_html('"<img src=x>" is not a number.').count("<") == 2
    assert wrong_html("") == ""
    assert hint_html("a < b") == '<div class="hint">a &lt; b</div>'
    assert "<b>" not in answer_html("<b>", "<b>", ["<b>"])


def test_every_colour_of_text_reads_on_paper() -> None:
    for colour in re.findall(r"(?<!background: )(?<!-)color: (#[0-9a-f]{6})", STYLE):
        if colour != "#ffffff":  # paper on ink, the other way round
            assert contrast(colour, "#ffffff") >= 4.5  # WCAG 2.1, 1.4.3

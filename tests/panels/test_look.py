"""Sentences as HTML: escaped, and legible."""

from __future__ import annotations

import re

from simkit.figures.style import contrast
from simkit.panels.look import STYLE, hint_html, wrong_html


def test_what_was_typed_is_never_taken_for_html() -> None:
    assert wrong_html('"<img src=x>" is not a number.').count("<") == 2
    assert wrong_html("") == ""
    assert hint_html("a < b") == '<div class="hint">a &lt; b</div>'


def test_every_colour_of_text_reads_on_paper() -> None:
    for colour in re.findall(r"(?<!background: )(?<!-)color: (#[0-9a-f]{6})", STYLE):
        if colour != "#ffffff":  # paper on ink, the other way round
            assert contrast(colour, "#ffffff") >= 4.5  # WCAG 2.1, 1.4.3

"""Answers and tables in, HTML out: the one place that knows how panels look. Colours are those of the figures."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from html import escape

import pandas as pd

from simkit.figures import style

STYLE = f"""<style>
.simkit {{ background: {style.PAPER}; color: {style.INK}; border-top: 3px solid {style.INK}; padding: 12px 16px; }}
.simkit {{ max-width: 1020px; }}
.simkit .widget-label, .simkit .widget-html-content, .simkit table {{ color: {style.INK}; font-size: 13px; }}
.simkit .widget-label {{ text-align: left; }}
.simkit .widget-html {{ min-height: 0; overflow: visible; }}
.simkit .widget-html-content {{ line-height: 20px; }}
.simkit h3 {{ font-size: 14px; margin: 0; line-height: 28px; }}
.simkit .amount {{ font-size: 30px; line-height: 40px; font-weight: 700; padding-right: 14px; }}
.simkit .likely {{ font-size: 15px; color: {style.MUTED}; }}
.simkit p {{ margin: 0 0 6px 0; }}
.simkit ul {{ margin: 0; padding: 0; list-style: none; }}
.simkit li {{ line-height: 20px; }}
.simkit table {{ border-collapse: collapse; width: 100%; user-select: text; margin: 0; }}
.simkit th, .simkit td {{ padding: 3px 0 3px 14px; line-height: 20px; text-align: right; white-space: nowrap; }}
.simkit th, .simkit td {{ border: 0; }}
.simkit tr {{ background: none !important; }}
.simkit th:first-child {{ text-align: left; padding-left: 0; }}
.simkit th.text, .simkit td.text {{ text-align: left; padding-left: 28px; width: 30%; white-space: normal; }}
.simkit thead th {{ color: {style.MUTED}; font-weight: 400; border-bottom: 1px solid {style.MUTED}; }}
.simkit tbody tr {{ border-bottom: 1px solid {style.RULE}; }}
.simkit tbody th {{ font-weight: 400; }}
.simkit tbody tr:first-child th, .simkit tbody tr:first-child td {{ font-weight: 700; }}
.simkit .wrong {{ color: {style.ROOM}; line-height: 17px; white-space: normal; }}
.simkit .hint {{ color: {style.MUTED}; font-size: 12px; line-height: 16px; white-space: normal; }}
.simkit .moved .widget-label::before {{ content: "● "; color: {style.OUTDOOR}; }}
.simkit .simkit-above {{ flex-wrap: wrap; height: 50px; margin: 0 2px; }}
.simkit .simkit-above > .widget-label {{ flex: 1 0 100%; width: auto; height: 22px; line-height: 22px; margin: 0; }}
.simkit .simkit-above > .slider-container {{ height: 28px; margin: 0 8px; }}
.simkit .simkit-above .noUi-target {{ margin: 12px 0; }}
.simkit .simkit-above > select {{ height: 28px; }}
.simkit .widget-text input {{ text-align: right; }}
.simkit .simkit-name input {{ text-align: left; }}
.simkit button.simkit-plain {{ background: none; border: 1px solid {style.RULE}; color: {style.INK}; }}
.simkit button.simkit-plain:disabled {{ color: {style.MUTED}; opacity: 0.45; }}
.simkit button.simkit-main {{ background: {style.INK}; color: {style.PAPER}; }}
.simkit :focus-visible {{ outline: 2px solid {style.OUTDOOR}; outline-offset: 1px; }}
.simkit .simkit-busy {{ opacity: 0.55; }}
</style>"""


def table_html(frame: pd.DataFrame, *, label: str, text: Iterable[str] = ()) -> str:
    """Write a frame of words as a table that can be selected and copied; columns of `text` stand to the left."""
    rows = {str(name): [str(value) for value in row] for name, row in zip(frame.index, frame.to_numpy(), strict=True)}
    return rows_html([str(name) for name in frame.columns], rows, label=label, text=text)


def rows_html(heads: Sequence[str], rows: Mapping[str, Sequence[str]], *, label: str, text: Iterable[str] = ()) -> str:
    """The same from plain rows: a frame would take longer to make than a drag has time for."""
    kinds = [' class="text"' if head in set(text) else "" for head in heads]
    above = "".join(f'<th scope="col"{kind}>{escape(head)}</th>' for head, kind in zip(heads, kinds, strict=True))
    body = []
    for name, row in rows.items():
        cells = "".join(f"<td{kind}>{escape(value)}</td>" for value, kind in zip(row, kinds, strict=True))
        body.append(f'<tr><th scope="row">{escape(name)}</th>{cells}</tr>')
    head = f'<thead><tr><th scope="col"></th>{above}</tr></thead>'
    return f'<table aria-label="{escape(label)}">{head}<tbody>{"".join(body)}</tbody></table>'


def page_html(content: str) -> str:
    """What stands by itself in a notebook, in the dress of the panels."""
    return f'{STYLE}<div class="simkit">{content}</div>'


def wrong_html(sentence: str) -> str:
    """A sentence about what can't be read."""
    return f'<div class="wrong" role="alert">{escape(sentence)}</div>' if sentence else ""


def hint_html(sentence: str) -> str:
    """A sentence in the second voice."""
    return f'<div class="hint">{escape(sentence)}</div>'


def cautions_html(said: Iterable[str]) -> str:
    """What may hurt, a line each."""
    lines = "".join(f"<li>{escape(sentence)}</li>" for sentence in said)
    return f'<h3>Caution</h3><ul aria-label="Cautions">{lines}</ul>'


def answer_html(headline: str, likely: str, verdicts: Iterable[str]) -> str:
    """The answer: the amount, its range, and a sentence for each comparison."""
    lines = "".join(f"<li>{escape(sentence)}</li>" for sentence in verdicts)
    return (
        f'<div role="status" aria-live="polite"><span class="amount">{escape(headline)}</span>'
        f'<span class="likely">{escape(likely)}</span><ul>{lines}</ul></div>'
    )

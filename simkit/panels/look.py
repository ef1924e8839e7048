"""Sentences in, HTML out: the one place that knows how panels look. Colours are those of the figures."""

from __future__ import annotations

from html import escape

from simkit.figures import style

STYLE = f"""<style>
.simkit {{ background: {style.PAPER}; color: {style.INK}; border-top: 3px solid {style.INK}; padding: 12px 16px; }}
.simkit {{ max-width: 1020px; }}
.simkit .widget-label, .simkit .widget-html-content, .simkit table {{ color: {style.INK}; font-size: 13px; }}
.simkit .widget-label {{ text-align: left; }}
.simkit .widget-html {{ min-height: 0; overflow: visible; }}
.simkit .widget-html-content {{ line-height: 20px; }}
.simkit h3 {{ font-size: 14px; margin: 0; line-height: 28px; }}
.simkit h2 {{ font-size: 13px; margin: 10px 0 0 0; line-height: 22px; }}
.simkit .answer {{ border-left: 4px solid {style.HEAT}; padding-left: 12px; margin: 4px 0 8px 0; max-width: 780px; }}
.simkit .answer p:first-child {{ font-size: 15px; font-weight: 700; line-height: 22px; }}
.simkit .second, .simkit .range {{ color: {style.MUTED}; font-size: 12px; }}
.simkit .range {{ display: block; }}
.simkit .scroll {{ overflow-x: auto; }}
.simkit .caution {{ background: #fdf3e7; border: 1px solid #e3b779; padding: 4px 10px; max-width: 780px; }}
.simkit summary {{ cursor: pointer; font-weight: 700; }}
.simkit p {{ margin: 0 0 6px 0; }}
.simkit table {{ border-collapse: collapse; width: 100%; user-select: text; margin: 0; }}
.simkit th, .simkit td {{ padding: 3px 0 3px 14px; line-height: 20px; text-align: right; vertical-align: top; }}
.simkit th, .simkit td {{ border: 0; }}
.simkit tr {{ background: none !important; }}
.simkit th:first-child {{ text-align: left; padding-left: 0; }}
.simkit th.words, .simkit td.words {{ text-align: left; }}
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


def page_html(content: str) -> str:
    """What stands by itself in a notebook, in the dress of the panels."""
    return f'{STYLE}<div class="simkit">{content}</div>'


def wrong_html(sentence: str) -> str:
    """A sentence about what can't be read."""
    return f'<div class="wrong" role="alert">{escape(sentence)}</div>' if sentence else ""


def hint_html(sentence: str) -> str:
    """A sentence in the second voice."""
    return f'<div class="hint">{escape(sentence)}</div>'

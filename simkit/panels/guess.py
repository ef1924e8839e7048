"""A question and its answer in; an empty box, and the answer that opens once something stands in it, out.

It is plain HTML: it works in a saved copy, too, and nothing is sent anywhere.
"""

from __future__ import annotations

from html import escape
from zlib import crc32

from simkit.answered import Answered
from simkit.answers.answer import Answer
from simkit.reporting.on_page import answer_html
from simkit.reporting.on_terminal import answer_text

BOX = """<div class="simkit-answer simkit-guess" data-lm-suppress-shortcuts="true"><label for="{key}">{question}</label>
<input id="{key}" type="text" placeholder=" " autocomplete="off">{unit}
<details><summary>Open the answer</summary>{answer}</details></div>"""


class Guess:
    """A question to guess at before its answer is seen.

    Parameters
    ----------
    question
        What to guess, as a sentence.
    result
        A result of the kit, or its answer.
    unit
        What the guess is counted in.
    """

    def __init__(self, question: str, result: Answered | Answer, unit: str = "") -> None:
        self.question, self.unit = question, unit
        self.answer = result if isinstance(result, Answer) else result.answer()

    def _repr_mimebundle_(self, include: object = None, exclude: object = None) -> dict[str, str]:
        text = answer_text(self.answer)
        said = {name: escape(value) for name, value in (("question", self.question), ("unit", self.unit))}
        key = f"simkit-guess-{crc32(self.question.encode())}"
        html = BOX.format(key=key, answer=answer_html(self.answer), **said)
        return {"text/plain": f"{self.question}\n\n{text}", "text/html": html}

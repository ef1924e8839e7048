"""Plain words: none of a list stands on any face, and every sentence that is printed stands in one reviewed file.

Numbers are left out of that file, so that it changes where words do. After a change of words, write it anew and read
the difference::

    SIMKIT_WRITE_SENTENCES=1 python -m pytest tests/answers/test_words.py
"""

from __future__ import annotations

import os
import re
from pathlib import Path

import pytest
from homes import NAMES

from answers.made import printed_by

REVIEWED = Path(__file__).parent / "sentences.txt"
CASES = (*NAMES, 0, 1, 2)
NUMBER = re.compile(r"\d+(?:[.,:’'\u00a0\u202f]\d+)*")

# What no face may say, and what it says instead.
INSTEAD = {
    r"buys nothing worth it": "what it does buy",
    r"[−-]\s?[€$£]?\d[\d,.]* less": "£264 more, because ...",
    r"worth nothing today": "it never earns its price back",
    r"what it spares is warmth": "part of the saving is colder rooms",
    r"\d+/\d+ °C": "55 °C on the coldest day, 44 °C on average",
    r"rooms H4": "SPF, heating only",
    r"too high by": "counted twice",
    r"above the bound": "above the lowest conceivable cost",
    r"of the samples|samples of ten|of ten samples": "in 4 of 10 simulated futures",
    r"wanting": "hot water runs short by 25 kWh",
    r"lognormal": "15 % worse to 18 % better",
    r"\bas lived": "as it was run",
    r"\bdear\b": "expensive",
    r"nought": "zero",
    r"by another hand": "by an independent computation",
    r"extra slots?": "granted half-hours",
    r"K·h short": "hours that feel cool",
    r"\bnan\b|\bNone\b(?! of )|\bTrue\b|\bFalse\b": "a word or a number",
    r"\b\w+_(?:words|cost_low|cost_high)\b": "the label of the column",
    r"  ": "one space",
    r"\.\.(?!\.)| \.|;;|: \.": "one stop",
    r"\{|\}": "what it stands for",
    r"[eE][+-]\d\d": "a number without exponent",
}
LATIN = re.compile(r"\b(?:e\.g\.|i\.e\.|etc\.|via|vs\.?)(?=\s)")


@pytest.mark.parametrize("which", CASES, ids=str)
def test_no_face_says_what_a_client_would_have_to_ask_about(which: str | int) -> None:
    said, names = printed_by(which)
    for text in said:
        bare = text
        for name in names:  # what people call their options is theirs
            bare = bare.replace(name, "NAME")
        for word, better in INSTEAD.items():
            assert not re.search(word, bare), f"{text!r}: say rather {better}"
        assert not LATIN.search(bare), text


def test_every_sentence_is_one_that_was_read() -> None:
    found = sorted({NUMBER.sub("#", text).replace("\n", " | ") for which in CASES for text in printed_by(which)[0]})
    said = "\n".join(line for line in found if re.search(r"[a-z]{3}", line)) + "\n"
    if os.environ.get("SIMKIT_WRITE_SENTENCES"):
        REVIEWED.write_text(said, encoding="utf-8")
    assert said == REVIEWED.read_text(encoding="utf-8"), "read the new sentences, then write the file anew"

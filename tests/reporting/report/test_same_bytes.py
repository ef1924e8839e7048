"""The same case gives the same bytes: in another process, with other hashes, in another time zone."""

from __future__ import annotations

import hashlib
import os
import subprocess
import sys
from pathlib import Path

import pytest
from reported import small_home

from simkit.answers.report.report import report
from simkit.case.build import vary
from simkit.reporting.report.as_page import report_page
from simkit.reporting.report.as_pdf import report_pdf
from simkit.reporting.report.as_workbook import report_workbook

pytest.importorskip("typst")
pytest.importorskip("openpyxl")


def digests() -> list[str]:
    """Digests of page, PDF and workbook of a short report."""
    home = small_home()
    few = vary(home, {"option": home.stated["option"][:2], "money.measure": home.stated["money"]["measure"][:1]})
    made = report(few, details={"author": "A. Author", "sections": ["year", "settings"]})
    written = report_page(made).encode(), report_pdf(made), report_workbook(made)
    return [hashlib.sha256(content).hexdigest() for content in written]


def test_page_pdf_and_workbook_are_the_same_bytes_in_another_process() -> None:
    tests = Path(__file__).parents[2]
    code = "from reporting.report.test_same_bytes import digests; print(*digests())"
    elsewhere = {
        **os.environ, "PYTHONHASHSEED": "7", "TZ": "Asia/Tokyo", "PYTHONPATH": os.pathsep.join(
            [str(tests), str(tests.parent), os.environ.get("PYTHONPATH", "")]
        ),
    }  # fmt: skip
    done = subprocess.run([sys.executable, "-c", code], env=elsewhere, capture_output=True, text=True, check=True)
    assert done.stdout.split() == digests()

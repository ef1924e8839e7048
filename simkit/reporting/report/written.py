"""A report and a file's name in; the face that the name ends in, written there, out."""

from __future__ import annotations

import os
from pathlib import Path
from typing import TYPE_CHECKING

from simkit.errors import CaseError, Fault
from simkit.reporting.seal import is_as_written
from simkit.schema.toml_file import write_whole

if TYPE_CHECKING:
    from simkit.answers.report.report import Report

NEEDED = {".pdf": "typst", ".xlsx": "openpyxl"}  # what a face is written with, besides matplotlib


def write_report(report: Report, path: Path) -> None:
    """Write a report in one go; who calls has seen to what stands there."""
    write_whole(path, _bytes(report, path.suffix.lower()))


def write_new(report: Report, path: Path, *, force: bool) -> None:
    """The same, where nothing is lost by it."""
    if path.suffix.lower() not in (".html", ".htm", *NEEDED):
        raise CaseError(Fault("", str(path), "does not end in .html, .pdf or .xlsx", "Write for example report.pdf"))
    if os.path.lexists(path) and not force and not is_as_written(path):
        allowed = "is there already, and nothing that may have been changed by hand is overwritten"
        raise CaseError(Fault("", str(path), allowed, "Choose a new name, or replace it with force=True"))
    write_report(report, path)


def _bytes(report: Report, ending: str) -> bytes:
    if ending == ".pdf":
        from simkit.reporting.report.as_pdf import report_pdf

        return report_pdf(report)
    if ending == ".xlsx":
        from simkit.reporting.report.as_workbook import report_workbook

        return report_workbook(report)
    from simkit.reporting.report.as_page import report_page

    return report_page(report).encode()

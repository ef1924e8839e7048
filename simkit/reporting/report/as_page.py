"""A report in; one self-contained HTML page that asks nothing of any other place, out."""

from __future__ import annotations

import base64
from importlib.metadata import version
from typing import TYPE_CHECKING, Any

from simkit.reporting.on_page import templates
from simkit.reporting.report.laid_out import laid_out
from simkit.reporting.seal import MARK, sealed

if TYPE_CHECKING:
    from simkit.answers.report.report import Report


def report_page(report: Report) -> str:
    """Write the page of a report, pictures included; the same report makes the same page, byte for byte."""
    content = _content(report) | {"mark": MARK}
    return sealed((templates().get_template("report.html").render(content) + "\n").encode()).decode()


def _content(report: Report) -> dict[str, Any]:
    """Every text, pictures and logo as they stand in a page."""
    content = laid_out(report) | {"version": version("home-heat-simkit"), "logo": _logo(report.logo)}
    for section in content["sections"]:
        for drawn in section["pictures"]:
            drawn["data"] = base64.b64encode(drawn.pop("svg")).decode()
    return content


def _logo(logo: bytes | None) -> str:
    """The address of a logo within the page; empty without one."""
    if logo is None:
        return ""
    kind = "png" if logo.startswith(b"\x89PNG") else "jpeg"
    return f"data:image/{kind};base64,{base64.b64encode(logo).decode()}"

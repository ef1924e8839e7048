"""How the test files are shared out where several workers run them: the longest first, and together what shares work.

Left alone pytest-xdist begins with the files of the most tests, which are short ones, and ends with one worker busy on
a long file while the others wait. Files whose tests ask for one and the same long computation go to one worker, which
makes it once.
"""

from __future__ import annotations

from collections import Counter

import pytest
from xdist.remote import Producer
from xdist.scheduler import LoadFileScheduling

TOGETHER = {  # by file, the one that it goes with
    # one optimum of an invented home serves all of them, and the answers of samples and invented homes two
    "tests/answers/test_faces.py": "tests/decide/optimum/test_optimum.py",
    "tests/answers/test_optimum.py": "tests/decide/optimum/test_optimum.py",
    "tests/answers/test_words.py": "tests/decide/optimum/test_optimum.py",
    # one report on a small home
    "tests/reporting/report/test_as_page.py": "tests/answers/report/test_report.py",
    "tests/reporting/report/test_as_pdf.py": "tests/answers/report/test_report.py",
    "tests/reporting/report/test_as_workbook.py": "tests/answers/report/test_report.py",
    "tests/reporting/test_page_browser.py": "tests/answers/report/test_report.py",
    "tests/explaining/test_explain.py": "tests/answers/report/test_report.py",
    # one year of a twin, one fit of its first forty days, one account
    "tests/commands/test_meter.py": "tests/meter/fitting/test_fitting.py",
    "tests/answers/meter/test_account.py": "tests/meter/fitting/test_fitting.py",
    "tests/answers/meter/test_fit.py": "tests/meter/fitting/test_fitting.py",
    "tests/answers/meter/test_projection.py": "tests/meter/fitting/test_fitting.py",
    "tests/meter/account/test_account.py": "tests/meter/fitting/test_fitting.py",
    "tests/meter/account/test_causes.py": "tests/meter/fitting/test_fitting.py",
    "tests/meter/account/test_what_changed.py": "tests/meter/fitting/test_fitting.py",
    "tests/meter/fitting/test_backtest.py": "tests/meter/fitting/test_fitting.py",
    "tests/meter/fitting/test_predicting.py": "tests/meter/fitting/test_fitting.py",
    "tests/meter/fitting/test_projection.py": "tests/meter/fitting/test_fitting.py",
}
LONGEST = (  # from about 200 s down to some 10 s
    "tests/decide/optimum/test_optimum.py",
    "tests/meter/fitting/test_fitting.py",
    "tests/answers/report/test_report.py",
    "tests/notebooks/test_browser.py",
    "tests/meter/fitting/test_boiler.py",
    "tests/decide/optimum/test_more_than_a_price.py",
    "tests/meter/account/test_drift.py",
    "notebooks/04_panels_and_battery.ipynb",
    "notebooks/05_from_readings_to_a_year.ipynb",
    "notebooks/06_worth_it_and_what_next.ipynb",
    "tests/kernel/test_compiled.py",
    "tests/decide/optimum/test_programme.py",
    "tests/decide/optimum/test_foresight.py",
    "tests/meter/reading/test_calibration.py",
    "tests/reporting/report/test_same_bytes.py",
    "tests/notebooks/test_own_home.py",
    "notebooks/02_which_flow_temperature.ipynb",
    "notebooks/03_which_tariff.ipynb",
    "notebooks/01_your_home_your_year.ipynb",
    "tests/test_developers.py",
    "tests/notebooks/test_notebooks.py",
    "tests/test_cli.py",
    "tests/answers/test_answer.py",
    "tests/weather/test_monthly.py",
    "tests/decide/schedule/test_search.py",
)  # fmt: skip


def scope(file: str) -> str:
    """Name of the unit of work in which a file goes."""
    return TOGETHER.get(file, file)


def longest_first(items: list[pytest.Item]) -> None:
    """Put the items of the longest files first, and after those the files of the most tests."""
    files = [scope(item.nodeid.partition("::")[0]) for item in items]
    count, rank = Counter(files), {file: place for place, file in enumerate(LONGEST)}
    places = sorted(range(len(items)), key=lambda k: (rank.get(files[k], len(rank)), -count[files[k]], files[k], k))
    items[:] = [items[k] for k in places]


class LongestFirst(LoadFileScheduling):
    """Files as units of work, in the order in which they are collected."""

    def __init__(self, config: pytest.Config, log: Producer | None = None) -> None:
        super().__init__(config, log)
        config.option.loadscopereorder = False

    def _split_scope(self, nodeid: str) -> str:
        return scope(nodeid.partition("::")[0])

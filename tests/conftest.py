"""What every test shares: the tests folder on the path, and the mark of those that run uncompiled as well."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parent))

SHORT = ("physics", "kernel")  # folders whose tests are about single steps, hours and days


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Mark what runs uncompiled as well."""
    for item in items:
        if item.path.parent.name in SHORT:
            item.add_marker("short")

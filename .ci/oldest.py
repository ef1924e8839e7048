"""pyproject.toml in; the oldest version of each library that it allows out, a line each, as constraints for pip."""

from __future__ import annotations

import tomllib
from pathlib import Path

project = tomllib.loads(Path(__file__).parents[1].joinpath("pyproject.toml").read_text(encoding="utf-8"))["project"]
needs = [*project["dependencies"], *project["optional-dependencies"]["figures"]]
print(*(need.replace(">=", "==") for need in needs), sep="\n")

"""The results of a test run (JUnit XML) in; a failure out where a browser test was skipped, or none was run."""

from __future__ import annotations

import sys
from xml.etree import ElementTree


def main(path: str) -> int:
    """Count the tests that name a browser, and those of them that were skipped."""
    run, skipped = 0, []
    for case in ElementTree.parse(path).iter("testcase"):
        name = f"{case.get('classname')}.{case.get('name')}"
        skip = case.find("skipped")
        if skip is not None and "chromium" in f"{skip.get('message')} {skip.text}".lower():
            skipped.append(name)
        elif "browser" in name:
            run += 1
    print(f"browser tests: {run} run, {len(skipped)} skipped")
    for name in skipped:
        print(f"skipped: {name}")
    return 1 if skipped or not run else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1]))

"""What commands cost from their start to their end, the first time and the second, with each kit that is named.

Usage: python tests/bench/start.py [FOLDER ...] - checkouts whose kits are measured in turn in one run; this one if none.

Processor time of whole processes, the least and the middle of several. The first time nothing is kept on disk but the
compiled kernel; the second time what the first worked out is there.
"""

from __future__ import annotations

import os
import resource
import shutil
import statistics
import subprocess
import sys
import tempfile
from pathlib import Path

ROOT = Path(__file__).parents[2]
TIMES = 2
FLAGSHIP = "sample_data/estuary_bungalow"
COMMANDS = {
    "run, range left out": ("run", FLAGSHIP, "--no-range"),
    "run": ("run", FLAGSHIP),
    "compare": ("compare", FLAGSHIP),
    "compare with its page": ("compare", FLAGSHIP, "--force", "--page", "page.html"),
    "sweep": ("sweep", FLAGSHIP),
}


def spent(kit: Path, cache: Path, words: tuple[str, ...]) -> float:
    """Processor time of one process [s]."""
    around = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
    around |= {"PYTHONPATH": str(kit), "SIMKIT_CACHE": str(cache), "PYTHONPYCACHEPREFIX": str(cache / "bytecode")}
    command = [sys.executable, "-m", "simkit", *(str(kit / w) if w == FLAGSHIP else w for w in words)]
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    subprocess.run(command, check=True, capture_output=True, cwd=cache, env=around)
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    return after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime


def main(kits: list[Path]) -> None:
    """Print the table."""
    with tempfile.TemporaryDirectory() as held:
        caches = {kit: Path(held) / str(number) for number, kit in enumerate(kits)}
        for kit, cache in caches.items():
            cache.mkdir()
            spent(kit, cache, COMMANDS["compare"])  # compiles
        for name, words in COMMANDS.items():
            taken: dict[tuple[Path, str], list[float]] = {}
            for _ in range(TIMES):
                for kit, cache in caches.items():
                    for folder in ("kept", "reports"):
                        shutil.rmtree(cache / folder, ignore_errors=True)
                    for time in ("first", "second"):
                        taken.setdefault((kit, time), []).append(spent(kit, cache, words))
            for (kit, time), seconds in taken.items():
                middle = statistics.median(seconds)
                print(f"{name:24}{kit.name:16}{time:8} least {min(seconds):5.2f} s, middle {middle:5.2f} s", flush=True)


if __name__ == "__main__":
    main([Path(word).resolve() for word in sys.argv[1:]] or [ROOT])

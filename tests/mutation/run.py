"""Makes small mistakes in the kit, one at a time, and says whether the tests nearest to it notice.

``python tests/mutation/run.py --drawn 400 --seed 1`` draws mistakes of laws, bills, tariffs, clocks, money, comfort and
the cleaning of readings (half an hour and more); ``python tests/mutation/run.py`` tries those that were made by hand,
with words after it only those that hold one in their name. ``--at-once 2`` tries two side by side. On Linux and macOS.
"""

from __future__ import annotations

import argparse
import json
import os
import random
import re
import sys
import tempfile
import traceback
import zlib
from collections.abc import Iterable, Iterator, Sequence
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))  # the kit beside the tests, before one that is installed
sys.path.insert(0, str(Path(__file__).parents[1]))

from mutation.drawn import count_of, slip
from mutation.made import MUTATIONS
from mutation.mutant import PACKAGE, Mutant, changed_function, load_kit, load_libraries, outcome, started
from mutation.nearest import EQUIVALENT, UNCOMPILED, files, nearest_to


def drawn(count: int, seed: int, inside: str = "") -> Iterator[Mutant]:
    """So many mistakes, each as likely as any other; a longer draw begins with the shorter one."""
    sources = {file: (PACKAGE / file).read_text(encoding="utf-8") for file in files() if file.startswith(inside)}
    places = [(file, number) for file, source in sources.items() for number in range(count_of(source))]
    random.Random(seed).shuffle(places)
    for file, number in places[:count]:
        made = slip(sources[file], number)
        if (file, made.old, made.new) in EQUIVALENT:
            continue
        name = f"{file}:{made.line}  {made.old}  ->  {made.new}"
        yield Mutant(name, file, made.text, nearest_to(file), file.partition("/")[0] not in UNCOMPILED)


def by_hand(words: Sequence[str]) -> Iterator[Mutant]:
    """Those made by hand with one of these words in their name, all of them where there is no word."""
    return (made.mutant() for made in MUTATIONS if not words or any(word in made.name for word in words))


def tried(mutants: Iterable[Mutant], at_once: int, folder: Path) -> dict[str, str]:
    """Try mutants and say of each what came of it: first those inside functions, by the kit loaded once for all."""
    inside: dict[bool, list[Mutant]] = {False: [], True: []}
    others: list[Mutant] = []
    for mutant in mutants:
        (inside[mutant.compiled] if changed_function(mutant) else others).append(mutant)
    found: dict[str, str] = {}
    for compiled, several in inside.items():
        found |= _by_loaded_kit(several, at_once, folder, compiled=compiled) if several else {}
    load_libraries()
    return found | _each(others, at_once, folder)


def _by_loaded_kit(mutants: Sequence[Mutant], at_once: int, folder: Path, *, compiled: bool) -> dict[str, str]:
    """Try mutants in a process that loads the kit first, compiled or not, and forks for each of them."""
    results = folder / f"found_{compiled}.json"
    number = os.fork()
    if not number:
        try:
            load_kit(compiled=compiled)
            results.write_text(json.dumps(_each(mutants, at_once, folder, loaded=True)), encoding="utf-8")
            os._exit(0)
        except BaseException:
            traceback.print_exc()
        finally:
            os._exit(1)
    if os.waitpid(number, 0)[1]:
        raise ChildProcessError("the process that held the kit ended early")
    return dict(json.loads(results.read_text(encoding="utf-8")))


def _each(mutants: Sequence[Mutant], at_once: int, folder: Path, *, loaded: bool = False) -> dict[str, str]:
    running: dict[int, str] = {}
    found: dict[str, str] = {}
    for mutant in mutants:
        while len(running) >= at_once:
            _wait(running, found)
        output = (
            folder / f"{re.sub(r'[^A-Za-z0-9]+', '_', mutant.name)[:120]}_{zlib.crc32(mutant.text.encode()):08x}.txt"
        )
        running[started(mutant, output, loaded=loaded)] = mutant.name
    while running:
        _wait(running, found)
    return found


def _wait(running: dict[int, str], found: dict[str, str]) -> None:
    number, status = os.wait()
    name = running.pop(number)
    found[name] = outcome(status)
    print(f"{found[name]:9} {name}", flush=True)


def main() -> int:
    """Try what was asked for; 1 where a mistake was not caught."""
    asked = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    asked.add_argument("words", nargs="*", help="of the mistakes made by hand, those with one of them in their name")
    asked.add_argument("--drawn", type=int, metavar="N", help="draw so many instead")
    asked.add_argument("--seed", type=int, default=1)
    asked.add_argument("--inside", default="", help="draw only from files whose path begins so, as billing/")
    asked.add_argument("--at-once", type=int, default=1, help="how many are tried side by side")
    asked.add_argument("--output", type=Path, help="folder that keeps what the tests said")
    given = asked.parse_args()
    mutants = drawn(given.drawn, given.seed, given.inside) if given.drawn else by_hand(given.words)
    with tempfile.TemporaryDirectory() as scratch:
        folder = given.output or Path(scratch)
        folder.mkdir(parents=True, exist_ok=True)
        found = tried(mutants, given.at_once, folder)
    caught = sum(code == "caught" for code in found.values())
    print(f"{caught} of {len(found)} caught")
    return int(caught < len(found) or not found)


if __name__ == "__main__":
    sys.exit(main())

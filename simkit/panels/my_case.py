"""A folder in; the home that a notebook is about, and a line that says which, out.

Your own home is the file that the form writes, beside the notebook or a folder above it. Without one, or where it lacks
what a question needs, a sample home takes its place, and the line says what to add.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from html import escape
from pathlib import Path
from typing import Any

from simkit.case.case import Case
from simkit.case.load import read_case
from simkit.case.sample_homes import CASE_FILE, sample_folder
from simkit.errors import CaseError, Fault, SimkitError, perhaps
from simkit.panels.progress import show_progress

SAID = "_simkit_said"
MY_HOME, READINGS = "my_home.toml", "readings.csv"
SAMPLE = "estuary_bungalow"


@dataclass(frozen=True)
class Need:
    """What a question needs of a case: how it is seen, the sample that has it, and what to add."""

    there: Callable[[Case], bool]
    sample: str
    add: str


def _offered(case: Case) -> bool:
    """Whether there is a price, and something else that it is weighed against by name."""
    sources = {option.heat_source for _, _, option in case.options()}
    priced = any(option.ledger is not None for _, _, option in case.options())
    return priced and "boiler" in sources and case.baseline is not None


def _read(case: Case) -> bool:
    """Whether readings lie beside the case that can be read."""
    from simkit.meter.reading.reading import read_meter  # which a notebook without readings need not load

    path = case.folder / READINGS
    return path.is_file() and not isinstance(or_why_not(read_meter, path, zone=case.site.zone), WhyNot)


NEEDS = {
    "boiler": Need(lambda case: case.boiler is not None, CASE_FILE, "a [boiler] and its [fuel], or fill in the form"),
    "heat_pump": Need(
        lambda case: case.heat_source == "heat_pump", CASE_FILE,
        'heat_source = "heat_pump" with its [heat_pump], or fill in the form',
    ),
    "rooms": Need(
        lambda case: any(room.candidate for room in case.room or ()), "rooms.toml",
        "a [[room]] for each room, with candidate = [...] where another emitter could stand",
    ),
    "offers": Need(
        _offered, CASE_FILE, "what the offer costs, in the form or as a [ledger], beside an [[option]] with the boiler "
        "that baseline names"
    ),
    "measures": Need(
        lambda case: case.money is not None and bool(case.money.measure), CASE_FILE,
        "what could be done to the home, each as a [[money.measure]] with its price",
    ),
    "readings": Need(
        _read, CASE_FILE, f"the meter's file beside it, named {READINGS}, in which `simkit read` finds no fault"
    ),
}  # fmt: skip


class Line:
    """A line that a notebook shows; in another colour where it says what is wrong."""

    line: str
    wrong: bool

    def _repr_mimebundle_(self, include: object = None, exclude: object = None) -> dict[str, str]:
        style = ' style="color: var(--jp-error-color1, #b23a1c)"' if self.wrong else ""
        return {"text/plain": self.line, "text/html": f'<p class="simkit-home"{style}>{escape(self.line)}</p>'}


@dataclass(frozen=True)
class Found(Line):
    """A home and the line that says which it is; `wrong` where the own file can't be read."""

    case: Case
    line: str
    wrong: bool = False


@dataclass(frozen=True)
class WhyNot(Line):
    """What a question lacks, where its answer and every part of that would stand."""

    line: str
    wrong: bool = True

    def answer(self) -> WhyNot:
        """As a result is asked for its answer."""
        return self

    def part(self, *_: str) -> WhyNot:
        """As an answer is asked for a part."""
        return self


def or_why_not(ask: Callable[..., Any], *given: Any, **how: Any) -> Any:
    """Ask, or say why there is no answer: in a notebook what one question lacks does not stop the next.

    Parameters
    ----------
    ask, given, how
        A function of the kit and what it is called with.

    Returns
    -------
    Any
        What the function gives, or a `WhyNot` that shows a sentence for each fault; one that is given stays what it is.
    """
    missing = next((one for one in given if isinstance(one, WhyNot)), None)
    if missing is not None:
        return missing
    try:
        return ask(*given, **how)
    except SimkitError as error:
        return WhyNot(" ".join(map(str, error.faults)))


def my_case(*needs: str, folder: str | Path | None = None, form: bool = False) -> Case:
    """Read your own home, or a sample where there is none, and say which.

    Parameters
    ----------
    *needs
        What the question needs of it: ``boiler``, ``heat_pump``, ``rooms``, ``offers``, ``measures``, ``readings``.
    folder
        Where to look first; the current folder when left out, which in a notebook is its own.
    form
        Whether it is for the home form, which begins with a plain home like the sample: that home is then taken.

    Returns
    -------
    Case
        The home of ``my_home.toml`` in the folder or the one above it; a sample home where there is none, where it
        can't be read, or where it lacks a need.

    Raises
    ------
    CaseError
        Where a need is not known.
    """
    found = found_case(needs, Path(folder or "."), form=form)
    _show(found)
    show_progress()
    return found.case


def found_case(needs: tuple[str, ...], folder: Path, *, form: bool = False) -> Found:
    """Look for your own home, and take a sample where it can't answer."""
    for need in needs:
        if need not in NEEDS:
            remedy = perhaps(need, NEEDS, f"Needs are: {', '.join(NEEDS)}")
            raise CaseError(Fault("my_case", f'"{need}"', "is no need", remedy))
    name = next((NEEDS[need].sample for need in needs if NEEDS[need].sample != CASE_FILE), CASE_FILE)
    sample = read_case(sample_folder(folder) / SAMPLE / name)
    shown = f'The sample home "{sample.name}", which is invented'
    path = own_file(folder)
    if path is None and form:
        return _plain(sample, folder)
    if path is None:
        return Found(sample, f"{shown}: your own takes its place once the form has written {MY_HOME}.")
    try:
        case = read_case(path)
    except SimkitError as error:
        return Found(sample, f"{' '.join(map(str, error.faults))} {shown}, is shown meanwhile.", wrong=True)
    missing = [NEEDS[need].add for need in needs if not NEEDS[need].there(case)]
    if missing:
        return Found(
            sample,
            f"{path.name} lacks what this question needs. Add {'; and '.join(missing)}. {shown}, is shown meanwhile.",
        )
    return Found(case, f'Your home "{case.name}", from {path.name}.')


def _plain(sample: Case, folder: Path) -> Found:
    """The home that the form begins with: what it asks is the sample's, and all else a usual value."""
    from simkit.panels.form.form import HomeForm  # which names the file that is looked for here

    like = f'A plain home like the sample "{sample.name}", invented, with a usual heat pump'
    line = f"{like}: the form begins with it. Yours takes its place once the form has written {MY_HOME}."
    return Found(HomeForm(sample, folder).case, line)


def own_file(folder: Path) -> Path | None:
    """The file of your own home, in a folder or the one above it; None where there is none."""
    here = folder.resolve()
    return next((place / MY_HOME for place in (here, here.parent) if (place / MY_HOME).is_file()), None)


def _show(found: Found) -> None:
    """Show the line where a notebook runs."""
    try:
        from IPython import get_ipython
        from IPython.display import display
    except ImportError:
        return
    shell: Any = get_ipython()
    said = (getattr(shell, "execution_count", None), found.line)
    if shell is not None and said != getattr(shell, SAID, None):  # a cell that asks twice is told once
        setattr(shell, SAID, said)
        display(found)

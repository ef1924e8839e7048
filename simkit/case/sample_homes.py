"""The name of a sample home in, its case file out: beside the notebook, in the package, or in the checkout."""

from __future__ import annotations

from pathlib import Path

from simkit.errors import CaseError, DataError, Fault, perhaps

SAMPLE_DATA, NOTEBOOKS, STARTER = "sample_data", "notebooks", "starter"
CASE_FILE, TARIFFS = "case.toml", "tariffs"


def shipped_folder(name: str) -> Path:
    """Folder of samples or of notebooks that came with simkit.

    Parameters
    ----------
    name
        ``sample_data`` or ``notebooks``.

    Returns
    -------
    Path
        The one in the installed package, or else the one in the checkout.

    Raises
    ------
    DataError
        If neither is there.
    """
    package = Path(__file__).resolve().parents[1]
    for place in (package / STARTER / name, package.parent / name):
        if place.is_dir():
            return place
    remedy = "Install simkit again, or work in a folder made by `simkit new`"
    raise DataError(Fault("simkit", f"the folder {name}", "did not come with this installation", remedy))


def sample_folder(beside: str | Path = ".") -> Path:
    """Folder of the sample homes: a ``sample_data`` in or next to `beside`, or else the one that came with simkit.

    Parameters
    ----------
    beside
        Where to look first, usually the folder of a notebook.
    """
    here = Path(beside).resolve()
    for place in (here / SAMPLE_DATA, here.parent / SAMPLE_DATA):
        if (place / TARIFFS).is_dir():
            return place
    return shipped_folder(SAMPLE_DATA)


def sample_names(beside: str | Path = ".") -> tuple[str, ...]:
    """Names of the sample homes, in order of the alphabet."""
    return tuple(sorted(place.parent.name for place in sample_folder(beside).glob(f"*/{CASE_FILE}")))


def sample_file(name: str, beside: str | Path = ".") -> Path:
    """Case file of a sample home.

    Parameters
    ----------
    name
        Name of its folder, such as ``estuary_bungalow``.
    beside
        Where to look first, usually the folder of a notebook.

    Raises
    ------
    CaseError
        If no sample home has that name.
    """
    path = sample_folder(beside) / name / CASE_FILE
    if path.is_file():
        return path
    names = sample_names(beside)
    remedy = perhaps(name, names, f"The sample homes are: {', '.join(names)}")
    raise CaseError(Fault("sample home", f'"{name}"', "is not there", remedy))

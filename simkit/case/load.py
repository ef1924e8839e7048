"""A case file (TOML) in, a `Case` out, and back again."""

from __future__ import annotations

import os
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from simkit.case.build import case_from
from simkit.case.case import Case, tariff_stem
from simkit.case.named_files import files_named, with_files_turned
from simkit.errors import CaseError, Fault
from simkit.schema.messages import plain
from simkit.schema.overlay import Table
from simkit.schema.toml_file import read_toml, write_whole
from simkit.schema.toml_layout import laid_out
from simkit.schema.toml_remarks import remarks_kept
from simkit.tariff.tariff import Tariff, read_tariff

REMARK = "What is left out here is filled in with a default, and every result names it among its notes."


def read_case(path: str | Path) -> Case:
    """Read a case file and check everything in it, its options and its tariff included.

    Parameters
    ----------
    path
        A TOML file.

    Returns
    -------
    Case
        The case; what it leaves out is filled in from ``defaults.toml`` and named in its notes.

    Raises
    ------
    CaseError
        With every fault of the file, one sentence each.
    """
    path = Path(path)
    return case_from(read_toml(path), folder=path.parent, label=path.name)


def write_case(case: Case, path: str | Path) -> None:
    """Write a case as a TOML file that reads back as an equal case.

    What the user said is written, and nothing that came from a default. Paths are turned so that they are right as
    seen from the new file; a tariff that no file holds is written beside it. A file that describes this home already
    keeps its remarks and its order. The file is written whole or not at all.

    Parameters
    ----------
    case
        The case.
    path
        The file; its folder must be there. A file of that name is replaced.

    Raises
    ------
    CaseError
        If the file can't be written, or would not read back as the same case; nothing is changed then.
    """
    path = Path(path)
    fresh: dict[Path, str] = {}
    table = _moved(case.stated, case.folder, path.parent, fresh)
    content = _kept(path, table) or laid_out(Case, table, options=Case, remark=REMARK)
    written: list[Path] = []
    try:
        for tariff, text in fresh.items():
            if not tariff.exists():
                write_whole(tariff, text)
                written.append(tariff)
        if case_from(tomllib.loads(content), folder=path.parent, label=path.name) != case:
            remedy = "This is an error of simkit: please report it with the case"
            raise CaseError(Fault(path.name, "", "would not read back as the same case, and was not written", remedy))
        write_whole(path, content)
    except CaseError:
        for tariff in written:
            tariff.unlink(missing_ok=True)
        raise


def _kept(path: Path, table: Table) -> str | None:
    """The text of a file that describes the same home already, changed where it must be."""
    try:
        source = path.read_text(encoding="utf-8")
        same_home = tomllib.loads(source).get("name") == table.get("name")
    except (OSError, UnicodeDecodeError, tomllib.TOMLDecodeError):
        return None
    return remarks_kept(source, table) if same_home else None


def _moved(table: Table, old: Path, new: Path, fresh: dict[Path, str]) -> dict[str, Any]:
    """Turn what the user said into what the new file holds; tariffs that no file holds are added to `fresh`."""
    result = {key: value if isinstance(value, Tariff) else plain(value) for key, value in table.items()}
    if isinstance(result.get("option"), list):
        result["option"] = [_moved(option, old, new, fresh) for option in table["option"]]
    held = result.get("tariff")
    result = with_files_turned(result, lambda name: _seen_from(name, old, new))
    return result | ({"tariff": _beside(held, new, fresh)} if isinstance(held, Tariff) else {})


def _seen_from(name: str, old: Path, new: Path) -> str:
    """A path that was relative to one folder, relative to another; absolute paths stay."""
    if Path(name).is_absolute() or old.resolve() == new.resolve():
        return name
    target = (old / name).resolve()
    try:
        return Path(os.path.relpath(target, new.resolve())).as_posix()
    except ValueError:  # another drive
        return target.as_posix()


def _beside(tariff: Tariff, folder: Path, fresh: dict[Path, str]) -> str:
    """Name of the file that is to hold a tariff; one that is there with other contents is left alone."""
    content = laid_out(Tariff, tariff.model_dump(by_alias=True, exclude_none=True, mode="python"))
    stem = tariff_stem(tariff)
    for name in (f"{stem}.toml", *(f"{stem}_{number}.toml" for number in range(2, 100))):
        place = folder / name
        if fresh.get(place, content) == content and (not place.exists() or _holds(place, content)):
            fresh[place] = content
            return name
    raise CaseError(Fault(f"{stem}.toml", "", "and a hundred names like it are taken", "Give the tariff another name"))


def _holds(path: Path, content: str) -> bool:
    try:
        return path.read_text(encoding="utf-8") == content
    except (OSError, UnicodeDecodeError):
        return False


def files_behind(case: Case) -> Iterator[Path]:
    """Every file that a case, its options, its measures and their tariffs name."""
    for one in (case, *(option for *_, option in case.options())):
        yield from one.files
        for path in (one.folder / name for name in files_named(one.stated)):
            yield path
            yield from map(Path, read_tariff(path).files if path.suffix == ".toml" else ())

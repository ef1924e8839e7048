"""A small TOML file in; who writes a report, for whom, and how it looks, out."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Mapping
from io import BytesIO
from pathlib import Path
from typing import Any, ClassVar

from simkit.answers.report.words import ENGLISH, languages
from simkit.bounds import unreadable
from simkit.errors import CaseError, Fault, perhaps, raise_all
from simkit.schema.messages import checked
from simkit.schema.section import PROSE_PATTERN, Section, said, text
from simkit.schema.toml_file import read_toml

ACCENT, SECOND = "#1d5c63", "#b8472a"  # own: the report's own two colours
COLOUR = r"^#[0-9a-fA-F]{6}$"
LOGO_BYTES, LOGO_PIXELS = 3_000_000, 6000  # own: more than any letterhead needs
LOGO_KINDS = {"PNG": "png", "JPEG": "jpg"}


class Details(Section):
    """Who writes a report and how it looks; every key may be left out."""

    default: ClassVar[Details]

    title: str | None = text("What the report is called", example="Heating the bungalow", absent=True)
    client: str | None = text("Whom it is for", example="A. Client", absent=True)
    author: str | None = text("Who wrote it", example="B. Author", absent=True)
    firm: str | None = text("Firm of the author", example="Warm Rooms Ltd", absent=True)
    reference: str | None = text("Reference", example="2026-014", absent=True)
    date: dt.date | None = said("Date of the report", example=dt.date(2026, 2, 3), absent=True)
    notes: str | None = said(
        "What the author has to say", example="The loft was not seen.", absent=True, max_length=20_000,
        pattern=PROSE_PATTERN,
    )  # fmt: skip
    logo: str | None = text("Picture file (PNG or JPEG), beside this file", example="logo.png", absent=True)
    accent: str | None = said("Colour of headings and rules, as #rrggbb", example=ACCENT, absent=True, pattern=COLOUR)
    second_accent: str | None = said("Colour of what matters most", example=SECOND, absent=True, pattern=COLOUR)
    language: str | None = text("Language of the report's own words", example="en", absent=True)
    locale: str | None = text("How numbers are written, a name of the Unicode data", example="en_IE", absent=True)
    sections: tuple[str, ...] | None = said("Sections, by name", example=["options", "year"], absent=True)
    without: tuple[str, ...] | None = said("Sections to leave out, by name", example=["carbon"], absent=True)

    def clashes(self) -> Iterator[Fault]:
        """Yield a language without a catalogue, and a locale that is none."""
        from babel.localedata import exists

        if self.language is not None and self.language not in languages():
            listed = f"Choose from {', '.join(languages())}"
            remedy = perhaps(self.language, languages(), listed)
            yield Fault("", f'language = "{self.language}"', "has no catalogue of words", remedy)
        if self.locale is not None and not exists(self.locale):
            remedy = 'Write a language and a country such as "en_IE" or "de_AT", or leave it out'
            yield Fault("", f'locale = "{self.locale}"', "is not a locale of the Unicode data", remedy)

    @property
    def spoken(self) -> str:
        """The language."""
        return self.language or ENGLISH


def details_from(table: Mapping[str, Any], *, label: str = "details") -> Details:
    """Check details that were given as a table; `label` is what messages call it."""
    found, faults = checked(Details, table)
    raise_all([Fault(f"{label}: {f.where}" if f.where else label, f.given, f.allowed, f.remedy) for f in faults])
    assert found is not None  # no fault, so there is one
    return found


def read_details(path: str | Path) -> tuple[Details, bytes | None]:
    """Read details and their logo.

    Returns
    -------
    details, logo
        What the file says, and the picture that it names; None without one.

    Raises
    ------
    CaseError
        With one sentence for each thing that is wrong, such as a logo that is no picture.
    """
    path = Path(path)
    found = details_from(read_toml(path, what="details file"), label=path.name)
    return found, None if found.logo is None else read_logo(path.parent / found.logo, path.name)


def read_logo(path: Path, label: str = "details") -> bytes:
    """The bytes of a picture that a report can hold: PNG or JPEG."""
    from PIL import Image, UnidentifiedImageError

    def fault(allowed: str, remedy: str) -> CaseError:
        return CaseError(Fault(label, f'logo = "{path.name}"', allowed, remedy))

    why = unreadable(path, LOGO_BYTES)
    if why:
        raise fault(why, "Name a small PNG or JPEG file beside the details")
    held = path.read_bytes()
    try:
        with Image.open(BytesIO(held)) as picture:
            kind, size = picture.format, picture.size
            picture.verify()
    except (UnidentifiedImageError, OSError, ValueError, SyntaxError, Image.DecompressionBombError):
        raise fault("is not a picture that can be read", "Save it as PNG or JPEG") from None
    if kind not in LOGO_KINDS:
        raise fault(f"is a picture of another kind ({kind})", "Save it as PNG or JPEG")
    if max(size) > LOGO_PIXELS:
        raise fault(f"is {max(size):,} pixels long, far more than a logo", "Save it smaller")
    return held


Details.default = details_from({})

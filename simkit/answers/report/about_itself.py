"""What a report works from in; how it was worked out, what it leaves out, who stands for it and what made it, out."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import ceil, log10

import pandas as pd

from simkit.answers.answer import Answer, Column, Table
from simkit.answers.report.basis import Basis
from simkit.answers.report.words import Words
from simkit.answers.wording import provenance_of
from simkit.assemble.heat_loss import found_from_fuel

LEAST_RESIDUAL_POWER = -3  # of ten [kWh]: less than a watt-hour is told as that


def _plain(basis: Basis, name: str, said: Sequence[str], tables: tuple[Table, ...] = ()) -> Answer:
    """An answer of a report about itself."""
    words = basis.words
    return Answer(
        basis.case.name, words(f"ask.{name}"), tuple(said), words.notation, tables=tables,
        provenance=provenance_of(basis),
    )  # fmt: skip


def method(basis: Basis) -> Answer:
    """How it was worked out, in ten lines."""
    words, year, case = basis.words, basis.chosen, basis.chosen.case
    number, file = words.notation.number, case.weather.file
    residual = max(abs(left) for left in year.balance().values())
    bound = 10.0 ** max(LEAST_RESIDUAL_POWER, ceil(log10(max(residual, 1e-9))))
    return _plain(
        basis, "method",
        words.lines(
            "method.lines", minutes=str(year.axis.step_minutes), year=str(case.site.year),
            steps=number(year.axis.steps), zone=case.site.zone, loss=number(year.loss_w_per_k),
            weather=words("method.weather_months") if file is None else words("method.weather_file", file=file),
            found=words("method.found") if found_from_fuel(case) else "",
            efficiency=words.notation.share(case.heat_pump.efficiency_scale if case.heat_pump else 1.0),
            samples=number(case.uncertainty.lanes), residual=words.notation.brief(bound, 3),
        ),
    )  # fmt: skip


def limits(basis: Basis) -> Answer:
    """What isn't modelled."""
    return _plain(basis, "limits", basis.words.lines("limits.lines"))


def sign_off(basis: Basis) -> Answer:
    """A block to be signed, and what is signed."""
    words, details = basis.words, basis.details
    author = ", ".join(part for part in (details.author, details.firm) if part)
    names = {"prepared": author, "checked": "", "received": details.client or ""}
    frame = pd.DataFrame(
        {"name_words": list(names.values()), "signature_words": [""] * len(names)},
        index=pd.Index([words(f"sign_off.{role}") for role in names], name="role"),
    )
    columns = (
        Column("name_words", title=words("sign_off.name")), Column("signature_words", title=words("sign_off.date")),
    )  # fmt: skip
    table = Table("names", words("sign_off.title"), frame, columns, first=words("sign_off.role"))
    return _plain(basis, "sign_off", words.lines("sign_off.lines"), (table,))


def provenance(basis: Basis) -> Answer:
    """What the report was made from, and how it is made again."""
    words = basis.words
    return _plain(basis, "provenance", (words("provenance.said"),), (_made_from(words, made_from(basis)),))


def made_from(basis: Basis) -> Mapping[str, str]:
    """Version, digests, samples, seed and command, by what they are."""
    words, case = basis.words, basis.case
    held = provenance_of(basis)
    files = {words("provenance.file", name=name): digest for name, digest in held["files_sha256"].items()}
    return {
        words("provenance.version"): held["simkit"], words("provenance.case"): held["case_sha256"], **files,
        words("provenance.samples"): str(held["samples"]), words("provenance.seed"): str(case.uncertainty.seed),
        words("provenance.command"): basis.command,
    }  # fmt: skip


def _made_from(words: Words, rows: Mapping[str, str]) -> Table:
    frame = pd.DataFrame({"value_words": list(rows.values())}, index=pd.Index(list(rows), name="what"))
    columns = (Column("value_words", title=words("provenance.value")),)
    return Table("made_from", words("provenance.title"), frame, columns, first=words("provenance.what"))

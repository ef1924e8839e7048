"""Two offers side by side in; what one holds and the other leaves out, what is promised, and what to ask, out."""

from __future__ import annotations

from typing import Any

import pandas as pd

from simkit.answers.answer import Answer, Column, Table
from simkit.answers.cautions import cautions_for
from simkit.answers.wording import ESTIMATE, SPF_MEANS, provenance_of, with_option
from simkit.answers.year import flow_words
from simkit.case.money.ledger import KIND_WORDS
from simkit.decide.flow.worth import sent_flow
from simkit.finance.beside import Offer, Offers
from simkit.notation import NONE, Notation, named

LEFT_OUT = "What one leaves out may be in another of its lines, without a word: that is what the questions are for."
SAME_BOUNDARY = "Promised and simulated stand at one boundary, that of the promise; without a promise at H4."


def offers_answer(found: Offers, title: str = "") -> Answer:
    """Say how two offers differ, line by line, and what to ask each installer.

    Parameters
    ----------
    found
        The offers.
    title
        Name of the home; that of the cheaper offer where it is left out.
    """
    notation = found.cheap.year.case.notation
    return Answer(
        title or found.cheap.name, "What does each offer hold, and what should I ask?",
        tuple(offers_sentences(found, notation)), notation, tables=offers_tables(found),
        cautions=cautions_for([offer.year for offer in found.both], {"heat source"}),
        notes=(LEFT_OUT, SAME_BOUNDARY), in_full=True, provenance=provenance_of(found.cheap.year),
        data=offers_data(found),
    )  # fmt: skip


def offers_sentences(found: Offers, notation: Notation) -> list[str]:
    """What each costs at once and a year, what is left out, and how the promises stand."""
    cheap, expensive = found.both
    gap = expensive.net - cheap.net
    at_once = f"costs {notation.money(gap)} less at once" if round(gap) else "costs as much at once"
    more = cheap.year.bill.total - expensive.year.bill.total
    run = f"costs {notation.more_or_less(more)} a year to run" if round(more) else "costs as much a year to run"
    wrong = [with_option(offer.year, offer.name) for offer in found.both]
    than = "than" if round(gap) or round(more) else "as"
    first = f"{named(cheap.name)} {at_once}, and {run} {than} {named(expensive.name)}."
    said = [" ".join(filter(None, [*wrong, first]))]
    for offer in found.both:
        lacks = [line.label for line in found.lines if (line.cheap if offer is cheap else line.expensive) is None]
        if lacks:
            said.append(f"{named(offer.name)} leaves out: {', '.join(f'“{label}”' for label in lacks)}.")
    said += [promise for offer in found.both if (promise := _promise(offer, notation))]
    return [*said, ESTIMATE]


def _promise(offer: Offer, notation: Notation) -> str:
    """What is promised beside what is simulated; nothing where nothing is promised."""
    if offer.promised is None:
        return ""
    spf, boundary = offer.promised
    stated = f"{named(offer.name)} promises an SPF of {notation.number(spf, 2)} at {boundary.upper()}"
    if offer.simulated is None:
        return f"{stated}; the simulated year can't be put there, for the fan's share is not stated."
    return f"{stated}; the simulated year comes to {notation.number(offer.simulated, 2)} there."


def offers_tables(found: Offers) -> tuple[Table, ...]:
    """The ledgers line by line, the two side by side, and the questions."""
    return _lines(found), _sides(found), _questions(found)


def _heads(found: Offers, *names: str) -> tuple[Column, ...]:
    return tuple(Column(name, title=offer.name) for name, offer in zip(names, found.both, strict=True))


def _lines(found: Offers) -> Table:
    """One row by line; what is left out is empty."""
    rows = [
        {
            "kind_words": KIND_WORDS[line.kind], "cheap_amount": line.cheap, "expensive_amount": line.expensive,
            "left_out_words": found.cheap.name if line.cheap is None else found.expensive.name
            if line.expensive is None else "",
        }
        for line in found.lines
    ]  # fmt: skip
    rows.append({"kind_words": "", "cheap_amount": found.cheap.net, "expensive_amount": found.expensive.net,
                 "left_out_words": ""})  # fmt: skip
    index = pd.Index([*(line.label for line in found.lines), "Net price"], name="line")
    frame = pd.DataFrame(rows, index=index).astype({"cheap_amount": float, "expensive_amount": float})
    shown = (Column("kind_words"), *_heads(found, "cheap_amount", "expensive_amount"), Column("left_out_words"))
    return Table("lines", "The ledgers, line by line", frame, shown, LEFT_OUT, total=True, first="Line")


def _sides(found: Offers) -> Table:
    """One row by what matters for the home, one column by offer."""
    sides = [_side(offer) for offer in found.both]
    frame = pd.DataFrame(
        {"cheap_words": list(sides[0].values()), "expensive_words": list(sides[1].values())},
        index=pd.Index(list(sides[0]), name="what"),
    )
    shown = _heads(found, "cheap_words", "expensive_words")
    return Table(
        "sides", "The machine, the flow and the promise", frame, shown, f"{SAME_BOUNDARY} {SPF_MEANS}", first="What"
    )


def _side(offer: Offer) -> dict[str, str]:
    """What one offer comes to, by what matters for the home."""
    year, notation = offer.year, offer.year.case.notation
    n, case = notation.number, year.case
    design, runs = year.design_kw, case.heat_source != "boiler"
    promised = offer.promised
    boundary = (promised[1] if promised else "h4").upper()
    flow = case.heat_pump.promised_flow_c if case.heat_pump else None
    sized = case.emitters.sized_for_flow_c
    return {
        "Machine": case.heat_pump.name if runs and case.heat_pump else "boiler",
        "Flow": flow_words(sent_flow(year), notation) or NONE,
        "Emitters": f"{case.emitters.kind}, sized for {n(sized)} °C" if sized is not None else case.emitters.kind,
        "Needed on the design day": f"{n(design[0], 1)} kW" if design else NONE,
        "Machine on the design day": f"{n(design[1], 1)} kW" if design else NONE,
        "Promised SPF": f"{n(promised[0], 2)} ({boundary}{f', {n(flow)} °C' if flow is not None else ''})" if promised
        else "none stated",
        "Simulated SPF": f"{n(offer.simulated, 2)} ({boundary})" if offer.simulated is not None else "not available",
        "Cost of a year": notation.money(year.bill.total),
    }  # fmt: skip


def _questions(found: Offers) -> Table:
    asked = found.questions(found.cheap.year.case.notation)
    frame = pd.DataFrame(
        {"question_words": [question for _, question in asked]},
        index=pd.Index([name for name, _ in asked], name="offer"),
    )
    return Table("questions", "What to ask each of them", frame, (Column("question_words"),), first="Ask")


def offers_data(found: Offers) -> dict[str, Any]:
    """The object of two offers: amounts in the currency, seasonal performance with its boundary."""
    return {
        "offers": [
            {"name": offer.name, "net": offer.net, "year_cost": offer.year.bill.total, "simulated_spf": offer.simulated,
             "promised_spf": offer.promised[0] if offer.promised else None,
             "boundary": offer.promised[1] if offer.promised else "h4"}
            for offer in found.both
        ],
        "lines": [line._asdict() for line in found.lines],
        "questions": [{"ask": name, "question": question}
                      for name, question in found.questions(found.cheap.year.case.notation)],
    }  # fmt: skip

"""A fitted home in; the one page that its owner asked for, as sentences, tables and HTML, out."""

from __future__ import annotations

import base64
import html
import io
from dataclasses import dataclass
from importlib.metadata import version

from simkit.meter.fitting.fitted import Fit
from simkit.meter.fitting.narrowing import Step, what_next
from simkit.meter.fitting.projection import Projection, project
from simkit.year.simulate import simulate


@dataclass(frozen=True, eq=False)
class Answer:
    """What a fit comes to: the year, whether the design was right, and what to measure next."""

    projection: Projection
    design: tuple[str, ...]
    steps: tuple[Step, ...]

    def sections(self) -> list[tuple[str, str, tuple[str, ...]]]:
        """Heading, note and sentences of each part, the year first."""
        fit, currency = self.projection.fit, self.projection.fit.case.currency
        next_ = tuple(_worth_measuring(step, currency) for step in self.steps)
        return [
            (fit.case.name, "the year, an estimate", self.projection.sentences()),
            ("Was the design right?", "", self.design),
            ("Fitted home", "middle and 90 % range", fit.sentences()),
            ("What to measure next", "ranked", next_),
        ]

    def page(self) -> str:
        """One self-contained HTML page: nothing on it is fetched, all of its text can be selected."""
        from simkit.figures import readings as figures

        fit = self.projection.fit
        pictures = [
            (figures.fan_by_month(self.projection), figures.fan_by_month_sentence(self.projection)),
            (figures.fit_over_time(fit)[0], figures.fit_over_time_sentence(fit)),
            (figures.posterior_pairs(fit)[0], figures.posterior_pairs_sentence(fit)),
        ]
        body = []
        for name, note, sentences in self.sections():
            items = "".join(f"<li>{html.escape(sentence)}</li>" for sentence in sentences)
            body.append(f"<h2>{html.escape(name)} <small>{html.escape(note)}</small></h2><ul>{items}</ul>")
        for ax, sentence in pictures:
            body.append(
                f'<figure><img alt="{html.escape(sentence)}" src="{_embedded(ax)}">'
                f"<figcaption>{html.escape(sentence)}</figcaption></figure>"
            )
        made_by = f"Computed by simkit {version('home-heat-simkit')}; inputs {fit.case.digest[:12]}."
        foot = f"An estimate under the stated assumptions, not a guarantee. {made_by}"
        return PAGE.format(title=html.escape(fit.case.name), body="\n".join(body), foot=html.escape(foot))


def _worth_measuring(step: Step, currency: str) -> str:
    """Say what a measurement would narrow, or that it would narrow next to nothing."""
    what = f"{step.what[0].upper()}{step.what[1:]}"
    if step.width_then > 0.99 * step.width_now and step.loss_then > 0.95 * step.loss_now:
        return f"{what}: tells next to nothing more of this home."
    return (
        f"{what}: the year's range goes from {step.width_now:,.0f} to {step.width_then:,.0f} {currency}, the heat "
        f"loss's spread from {100 * step.loss_now:.0f} to {100 * step.loss_then:.0f} %."
    )


PAGE = """<!doctype html>
<html lang="en"><head><meta charset="utf-8"><title>{title}: fitted home</title>
<style>body{{font:16px/1.5 system-ui,sans-serif;color:#16262e;max-width:50rem;margin:2rem auto;padding:0 1rem}}
h2{{border-bottom:1px solid #d8dee1;font-size:1.15rem}}small{{color:#55646d;font-weight:normal}}
img{{max-width:100%}}figure{{margin:1.5rem 0}}figcaption,footer{{color:#55646d;font-size:.9rem}}</style></head>
<body>
{body}
<footer>{foot}</footer>
</body></html>
"""


def _embedded(ax: object) -> str:
    figure = ax.figure  # type: ignore[attr-defined]
    buffer = io.BytesIO()
    figure.savefig(buffer, format="png", dpi=144, metadata={"Software": None})
    from matplotlib import pyplot

    pyplot.close(figure)
    return "data:image/png;base64," + base64.b64encode(buffer.getvalue()).decode()


def answer_of(fit: Fit) -> Answer:
    """Project a fitted home, judge its design and rank what to measure next."""
    year = simulate(fit.fitted_case())
    said = [f"With the fitted heat loss the home is {year.comfort.words} in a usual year."]
    if year.sizing is not None:
        said.append(year.sizing.worded())
    if fit.case.home.loss.fuel_amount is not None or fit.case.home.loss.w_per_k is not None:
        prior, row = fit.unknowns[0].centre, fit.table.loc["loss_w_per_k"]
        verdict = "as it was taken to be" if row["low"] <= prior <= row["high"] else "not what it was taken to be"
        said.append(
            f"The heat loss is {verdict}: {row['middle']:.0f} W/K ({row['low']:.0f} to {row['high']:.0f}) against "
            f"{prior:.0f} W/K in the design."
        )
    projection = project(fit)
    return Answer(projection, tuple(said), what_next(projection))

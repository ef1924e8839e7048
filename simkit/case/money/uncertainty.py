"""What is known only about in, a validated `Uncertainty` out: the spreads behind every range."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Literal

from simkit.errors import Fault
from simkit.schema.section import Section, number, said, text

Sampled = Literal["efficiency", "set_point_k", "boiler", "loss", "draws", "electricity_price", "fuel_price",
                  "electricity_rise", "fuel_rise", "fuel_amount", "fuel_winter", "stove"]  # fmt: skip
FACTOR, SHIFT, RISE = "a factor on what the case states", "a shift in kelvin", "a share a year"
WRITTEN = {FACTOR: "1.1 for a tenth more", SHIFT: "0.5 for half a kelvin", RISE: "0.02 for two per cent"}
# Own: what an input may be without the home being absurd; and what it is.
LIMITS: dict[str, tuple[float, float, str]] = {
    "efficiency": (0.3, 2.0, FACTOR), "set_point_k": (-5.0, 5.0, SHIFT), "boiler": (0.5, 1.5, FACTOR),
    "loss": (0.3, 3.0, FACTOR), "draws": (0.1, 5.0, FACTOR), "electricity_price": (0.1, 10.0, FACTOR),
    "fuel_price": (0.1, 10.0, FACTOR), "electricity_rise": (-0.2, 0.25, RISE),
    "fuel_rise": (-0.2, 0.25, RISE), "fuel_amount": (0.3, 3.0, FACTOR), "fuel_winter": (-5.0, 5.0, SHIFT),
    "stove": (0.1, 4.0, FACTOR),
}  # fmt: skip


class InputRange(Section):
    """The user's own range of an uncertain input, in the place of the kit's."""

    of: Sampled = said("The input that it is about", example="fuel_price")
    shape: Literal["uniform", "triangular", "normal", "lognormal"] = said(
        "How likely the values between are: all alike, most in the middle, or a bell that goes on beyond both ends",
        example="triangular",
    )
    low: float = number(-5, 10, "", "Lower end; of a bell what one sample of ten stays under", example=0.9)
    high: float = number(-5, 10, "", "Upper end; of a bell what nine samples of ten stay under", example=1.3)
    reason: str = text("Why it is so, and where it is from", example="our contract ends in March")

    def clashes(self) -> Iterator[Fault]:
        """Yield ends that are out of order, absurd for their input, or of no such shape."""
        least, most, kind = LIMITS[self.of]
        if self.low >= self.high:
            remedy = "Write the lower end first, and leave the table out for a value that is known"
            yield Fault("", f"low = {self.low:g}", f"is not below high = {self.high:g}", remedy)
        for key, value in (("low", self.low), ("high", self.high)):
            if not least <= value <= most:
                allowed = f"is outside {least:g} to {most:g}: {self.of} is {kind}"
                yield Fault("", f"{key} = {value:g}", allowed, f"Write {WRITTEN[kind]}")
        if self.shape == "lognormal" and self.low <= 0.0:
            allowed = f"can't have low = {self.low:g}: it lies above zero only"
            yield Fault("", 'shape = "lognormal"', allowed, 'Write "normal", or a low above zero')


class Uncertainty(Section):
    """Standard deviations of what is not known exactly, and how they are sampled."""

    installation_sd: float = number(
        0, 0.5, "share", "Spread of real installations about a calculated efficiency", example=0.13
    )
    price_sd: float = number(0, 1, "share", "Spread of next year's prices", example=0.1)
    set_point_sd_k: float = number(0, 3, "K", "Spread of the room temperature that is really held", example=0.5)
    boiler_efficiency_sd: float = number(0, 0.3, "share", "Spread of the boiler's efficiency in use", example=0.04)
    heat_loss_sd: float = number(
        0, 0.6, "share", "Spread of the heat loss where it was found neither from fuel nor a certificate", example=0.15
    )
    certificate_sd: float = number(
        0, 1, "share", "Spread of the heat loss where it was found from a certificate", example=0.35
    )
    fuel_amount_sd: float = number(
        0, 0.5, "share", "Spread of the fuel of a year, where the heat loss was found from it", example=0.05
    )
    weather_sd_k: float = number(0, 3, "K", "Spread of the mean outdoor temperature of years", example=0.6)
    stove_sd: float = number(
        0, 1, "share", "Spread of the heat that a stove gave the home, against what is stated", example=0.25
    )
    draws_sd: float = number(0, 1, "share", "Spread of the hot water drawn", example=0.2)
    input: tuple[InputRange, ...] | None = said(
        "Ranges of your own, each in the place of the spread of its input",
        example=[{"of": "fuel_price", "shape": "triangular", "low": 0.9, "high": 1.3, "reason": "contract ends"}],
        absent=True,
        min_length=1,
    )
    lanes: int = number(16, 4096, "", "How many samples are run", example=64)
    seed: int = number(0, 2_147_483_647, "", "Start of the random numbers, so that a run can be repeated", example=1)

    def clashes(self) -> Iterator[Fault]:
        """Yield inputs that have two ranges."""
        names = [one.of for one in self.input or ()]
        for name in sorted({name for name in names if names.count(name) > 1}):
            yield Fault("", f'input "{name}"', "has more than one range", "Keep one of them")

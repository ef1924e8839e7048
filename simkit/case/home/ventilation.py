"""What the user says of air leaks, fresh air and heat recovery in, a validated `Ventilation` out."""

from __future__ import annotations

from collections.abc import Iterator

from simkit.errors import Fault
from simkit.schema.section import Section, number, said

# Leaks over the year as a share of those at 50 Pa: 0.07 for a home of moderate shelter, more than one side exposed
# (EN ISO 13789 and EN 12831, from memory).
LEAKS_OF_N50 = 0.07
# Air changes an hour that no home is reckoned under: DIN 1946-6 has 125 m³/h for 100 m², 0.5 an hour; EN 16798-1 asks
# for as much in its category III (0.35 l/s for each m², from memory).
LEAST_FRESH_AIR = 0.5


class Ventilation(Section):
    """How air gets in and out, and what was done about it since the heat loss was stated."""

    n50: float = number(
        0.2, 30, "1/h", "Air changes an hour at 50 Pa, from a blower-door test, before anything was done", example=6.0
    )
    fresh_air_per_hour: float = number(
        0.0, 3, "1/h", "Air changes an hour by windows and fans, leaks left out", example=0.4
    )
    tightened_n50: float | None = number(
        0.2, 30, "1/h", "Air changes an hour at 50 Pa once leaks are closed", example=2.5, absent=True
    )
    recovery: float | None = number(
        0.3, 0.95, "share", "Heat of the used air that a fan unit gives back to the fresh air, in use", example=0.75,
        absent=True,
    )  # fmt: skip
    fan_wh_per_m3: float = number(
        0.05, 2, "Wh/m³", "Electricity of that unit for each cubic metre of fresh air", example=0.4
    )
    in_stated_loss: bool = said(
        "Whether the heat loss, or the fuel it is found from, holds what was done already", example=False
    )

    def clashes(self) -> Iterator[Fault]:
        """Yield a home that gets leakier by being tightened."""
        if self.tightened_n50 is not None and self.tightened_n50 > self.n50:
            given = f"tightened_n50 = {self.tightened_n50:g}"
            yield Fault("", given, f"is above n50 = {self.n50:g}: more leaks than before", "Swap the two")

    @property
    def before_per_hour(self) -> float:
        """Air changes an hour before anything was done [1/h]."""
        return self.fresh_air_per_hour + LEAKS_OF_N50 * self.n50

    @property
    def leaks_per_hour(self) -> float:
        """Air changes an hour through the leaks that are left [1/h]."""
        return LEAKS_OF_N50 * (self.n50 if self.tightened_n50 is None else self.tightened_n50)

    @property
    def fresh_per_hour(self) -> float:
        """Air changes an hour by windows or fans now [1/h]: with the leaks never less than a home needs."""
        return max(self.fresh_air_per_hour, LEAST_FRESH_AIR - self.leaks_per_hour)

    @property
    def changed(self) -> bool:
        """Whether something was done that the stated loss does not hold."""
        return not self.in_stated_loss and (self.tightened_n50 is not None or self.recovery is not None)

    @property
    def saved_per_hour(self) -> float:
        """Air changes an hour whose heat is no longer lost [1/h]; below zero where the home had too little air.

        References
        ----------
        EN 832: n = n_fan · (1 − η) + n_leaks, as OIB-382-010/99 of the Austrian institute of construction quotes it.
        """
        if not self.changed:
            return 0.0
        after = self.fresh_per_hour * (1.0 - (self.recovery or 0.0)) + self.leaks_per_hour
        return self.before_per_hour - after

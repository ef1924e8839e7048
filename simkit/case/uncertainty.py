"""What is known only about in, a validated `Uncertainty` out: the spreads behind every range."""

from __future__ import annotations

from simkit.case.section import Section, number


class Uncertainty(Section):
    """Standard deviations of what is not known exactly, and how they are sampled."""

    installation_sd: float = number(
        0, 0.5, "share", "Spread of real installations about a calculated efficiency", example=0.13
    )
    price_sd: float = number(0, 1, "share", "Spread of next year's prices", example=0.1)
    set_point_sd_k: float = number(0, 3, "K", "Spread of the room temperature that is really held", example=0.5)
    boiler_efficiency_sd: float = number(0, 0.3, "share", "Spread of the boiler's efficiency in use", example=0.04)
    heat_loss_sd: float = number(
        0, 0.6, "share", "Spread of the heat loss where it wasn't found from fuel", example=0.15
    )
    weather_sd_k: float = number(0, 3, "K", "Spread of the mean outdoor temperature of years", example=0.6)
    draws_sd: float = number(0, 1, "share", "Spread of the hot water drawn", example=0.2)
    lanes: int = number(16, 4096, "", "How many samples are run", example=64)
    seed: int = number(0, 2_147_483_647, "", "Start of the random numbers, so that a run can be repeated", example=1)

"""What truly happened in an invented home, and how a clock writes it down: the ground that invented exports stand on.

Written without knowledge of the reader. A home's import peaks in the morning and in the evening by its people's clock and its
export at the sun's noon, so that a file holds the evidence of its clock that a real one holds.
"""

from dataclasses import dataclass

import numpy as np
import pandas as pd


@dataclass(frozen=True)
class Place:
    """Where a home stands: its clock, its coordinates [°], and how people there write dates and decimals."""

    timezone: str
    latitude: float
    longitude: float
    dates: str
    comma: bool
    language: str


PLACES = (
    Place("Europe/Brussels", 51.0, 4.4, "day", True, "nl"),
    Place("Europe/Berlin", 51.3, 10.0, "day", True, "de"),
    Place("Europe/Paris", 47.0, 2.5, "day", True, "fr"),
    Place("Europe/Copenhagen", 56.0, 10.0, "day", True, "da"),
    Place("Europe/Madrid", 40.5, -3.5, "day", True, "es"),
    Place("Europe/London", 52.5, -1.5, "day", False, "en"),
    Place("Europe/Dublin", 53.3, -7.0, "day", False, "en"),
    Place("America/New_York", 42.0, -74.5, "month", False, "en"),
    Place("America/Los_Angeles", 38.0, -121.0, "month", False, "en"),
    Place("Australia/Melbourne", -37.6, 145.0, "day", False, "en"),
    Place("Pacific/Auckland", -37.0, 175.0, "day", False, "en"),
)

WORDS = {
    "import": {
        "en": ("Import", "Usage", "Consumption", "Grid import", "Electricity used", "Energy imported", "Electricity"),
        "de": ("Bezug", "Verbrauch", "Netzbezug", "Stromverbrauch"),
        "nl": ("Afname", "Verbruik", "Elektriciteit verbruik"),
        "fr": ("Consommation", "Soutirage", "Consommation électrique"),
        "da": ("Forbrug", "Elforbrug"),
        "es": ("Consumo", "Energía consumida"),
    },
    "export": {
        "en": ("Export", "Feed-in", "Exported", "Grid export", "Returned to grid", "Injection"),
        "de": ("Einspeisung", "Netzeinspeisung"),
        "nl": ("Injectie", "Teruglevering"),
        "fr": ("Injection", "Injection réseau"),
        "da": ("Eksport", "Salg til net"),
        "es": ("Vertido", "Excedentes"),
    },
    "gas": {
        "en": ("Gas", "Gas used"),
        "de": ("Gas", "Gasverbrauch"),
        "nl": ("Gas", "Gasverbruik"),
        "fr": ("Gaz",),
        "da": ("Gas",),
        "es": ("Gas",),
    },
    "heat": {
        "en": ("Heat", "Heat energy", "Heat delivered"),
        "de": ("Wärmemenge", "Wärme"),
        "nl": ("Warmte",),
        "fr": ("Chaleur",),
        "da": ("Varme",),
        "es": ("Calor",),
    },
    "heat pump": {
        "en": ("Heat pump", "Heat pump electricity"),
        "de": ("Wärmepumpe",),
        "nl": ("Warmtepomp",),
        "fr": ("Pompe à chaleur",),
        "da": ("Varmepumpe",),
        "es": ("Bomba de calor",),
    },
    "outdoor": {
        "en": ("Outdoor temperature", "Outside temp"),
        "de": ("Außentemperatur",),
        "nl": ("Buitentemperatuur",),
        "fr": ("Température extérieure",),
        "da": ("Udetemperatur",),
        "es": ("Temperatura exterior",),
    },
    "date": {"en": "Date", "de": "Datum", "nl": "Datum", "fr": "Date", "da": "Dato", "es": "Fecha"},
    "time": {"en": "Time", "de": "Uhrzeit", "nl": "Tijd", "fr": "Heure", "da": "Tid", "es": "Hora"},
    "from": {"en": "From", "de": "Von", "nl": "Van", "fr": "Début", "da": "Fra", "es": "Desde"},
    "to": {"en": "To", "de": "Bis", "nl": "Tot", "fr": "Fin", "da": "Til", "es": "Hasta"},
}


@dataclass(frozen=True)
class Truth:
    """What a file truly says: interval starts and ends in UTC, energy by role [kWh], and what must be told about it."""

    place: Place
    starts: pd.DatetimeIndex
    ends: pd.DatetimeIndex
    kwh: dict[str, np.ndarray]
    told: tuple[str, ...] = ()
    celsius: dict[str, np.ndarray] | None = None


@dataclass(frozen=True)
class Home:
    """One invented home and the chance that shapes its file."""

    place: Place
    rng: np.random.Generator

    def pick(self, *choices):
        return choices[int(self.rng.integers(len(choices)))]

    def word(self, role: str) -> str:
        words = WORDS[role][self.place.language if self.rng.random() < 0.8 else "en"]
        return words if isinstance(words, str) else self.pick(*words)

    def span(self, minutes: int, days: int, whole_month: bool = False) -> tuple[pd.DatetimeIndex, pd.DatetimeIndex]:
        """Interval starts and ends from one local midnight to another, days of the clock change included."""
        first = pd.Timestamp(2023, 1, 1) + pd.Timedelta(days=int(self.rng.integers(0, 800)))
        first = first.replace(day=1) if whole_month else first
        edges = (
            pd.DatetimeIndex([first, first + pd.Timedelta(days=days)])
            .tz_localize(self.place.timezone)
            .tz_convert("UTC")
        )
        starts = pd.date_range(edges[0], edges[1], freq=f"{minutes}min", inclusive="left")
        return starts, starts + pd.Timedelta(minutes=minutes)

    def local_days(self, days: int) -> tuple[pd.DatetimeIndex, pd.DatetimeIndex]:
        first = pd.Timestamp(2023, 1, 1) + pd.Timedelta(days=int(self.rng.integers(0, 800)))
        edges = pd.date_range(first, periods=days + 1, freq="D").tz_localize(self.place.timezone).tz_convert("UTC")
        return edges[:-1], edges[1:]

    def local_months(self, months: int) -> tuple[pd.DatetimeIndex, pd.DatetimeIndex]:
        first = pd.Timestamp(2022, int(self.rng.integers(1, 13)), 1)
        edges = pd.date_range(first, periods=months + 1, freq="MS").tz_localize(self.place.timezone).tz_convert("UTC")
        return edges[:-1], edges[1:]

    def load(self, starts: pd.DatetimeIndex, ends: pd.DatetimeIndex, kwh_a_year: float | None = None) -> np.ndarray:
        """Energy that the home draws [kWh]: people by their clock, some heat by the season, and noise."""
        local = starts.tz_convert(self.place.timezone)
        hour = np.asarray(local.hour + local.minute / 60)
        hours = np.asarray((ends - starts) / pd.Timedelta(hours=1))
        yearly = kwh_a_year or float(np.exp(self.rng.uniform(np.log(1500), np.log(14000))))
        shape = (
            0.45
            + 0.7 * np.exp(-(((hour - 7.5) / 1.3) ** 2))
            + 1.6 * np.exp(-(((hour - 19) / 2.3) ** 2))
            + 0.3 * np.exp(-(((hour - 13) / 2.5) ** 2))
        )
        shape = np.where(hours > 20, 0.9, shape)
        day = np.asarray(local.day_of_year)
        south = -1 if self.place.latitude < 0 else 1
        season = 1 + self.rng.uniform(0, 0.7) * south * np.cos(2 * np.pi * (day - 20) / 365)
        of_day = np.exp(self.rng.normal(0, 0.2, 400))[day % 400]
        return yearly / 8766 * hours * shape * season * of_day * np.exp(self.rng.normal(-0.06, 0.35, len(starts))) / 0.9

    def heating(self, starts: pd.DatetimeIndex, ends: pd.DatetimeIndex, kwh_a_year: float) -> np.ndarray:
        """Energy for heating [kWh], by a smooth season and the hours of the day."""
        local = starts.tz_convert(self.place.timezone)
        south = -1 if self.place.latitude < 0 else 1
        season = np.clip(0.25 + south * np.cos(2 * np.pi * (np.asarray(local.day_of_year) - 20) / 365), 0.06, None)
        hours = np.asarray((ends - starts) / pd.Timedelta(hours=1))
        return kwh_a_year / 8766 / 0.55 * hours * season * np.exp(self.rng.normal(0, 0.3, len(starts)))

    def sun(self, starts: pd.DatetimeIndex, ends: pd.DatetimeIndex, peak_kw: float) -> np.ndarray:
        """Energy of panels [kWh]: the sine of the sun's height, clouds by the day."""
        hours = np.asarray((ends - starts) / pd.Timedelta(hours=1))
        middle = starts + (ends - starts) / 2
        if hours[0] > 20:
            return peak_kw * np.exp(self.rng.normal(0.8, 0.4, len(starts)))
        solar_hour = np.asarray(middle.hour + middle.minute / 60) + self.place.longitude / 15
        tilt = np.radians(23.45) * np.sin(2 * np.pi * (np.asarray(middle.day_of_year) - 81) / 365)
        latitude = np.radians(self.place.latitude)
        height = np.sin(latitude) * np.sin(tilt) + np.cos(latitude) * np.cos(tilt) * np.cos(
            np.pi * (solar_hour - 12) / 12
        )
        clear = self.rng.uniform(0.15, 1.0, 400)[
            np.asarray((middle + pd.Timedelta(hours=self.place.longitude / 15)).day_of_year) % 400
        ]
        return peak_kw * 0.9 * np.clip(height, 0, None) * clear * hours

    def both_ways(self, starts: pd.DatetimeIndex, ends: pd.DatetimeIndex) -> tuple[np.ndarray, np.ndarray]:
        """Import and export at the meter of a home with panels [kWh]."""
        load = self.load(starts, ends)
        sun = self.sun(starts, ends, self.rng.uniform(2, 8))
        if (ends[0] - starts[0]) > pd.Timedelta(hours=20):
            return load, 0.6 * sun
        return np.clip(load - sun, 0, None), np.clip(sun - load, 0, None)

    def outdoor(self, starts: pd.DatetimeIndex) -> np.ndarray:
        """Outdoor temperature [°C]."""
        local = starts.tz_convert(self.place.timezone)
        south = -1 if self.place.latitude < 0 else 1
        season = 11 - 8 * south * np.cos(2 * np.pi * (np.asarray(local.day_of_year) - 20) / 365)
        return (
            season + 3 * np.cos(2 * np.pi * (np.asarray(local.hour) - 15) / 24) + self.rng.normal(0, 0.6, len(starts))
        )


def written(stamps: pd.DatetimeIndex, clock: str, place: Place, form: str) -> list[str]:
    """Stamps as a logger's clock writes them: clock is local, standard (winter time all year) or utc."""
    local = stamps.tz_convert(place.timezone)
    if clock == "utc":
        local = stamps.tz_convert("UTC")
    if clock == "standard":
        winter = min(pd.Timestamp(2024, m, 1, tz=place.timezone).utcoffset() for m in (1, 7))
        local = (stamps.tz_convert("UTC") + winter).tz_localize(None)
    if form == "offset":
        return [s.isoformat() for s in local]
    return list(local.strftime(form))


def numbers(values: np.ndarray, digits: int, comma: bool = False) -> list[str]:
    """Values as written, with a point or a comma."""
    texts = [f"{v:.{digits}f}" for v in values]
    return [t.replace(".", ",") for t in texts] if comma else texts


def rows(separator: str, *columns: list[str]) -> list[str]:
    return [separator.join(row) for row in zip(*columns, strict=True)]

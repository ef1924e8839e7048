"""The words of a column's head in; the quantity, unit and kind that they speak of out."""

from __future__ import annotations

import re

QUANTITIES = ("import_kwh", "export_kwh", "heat_pump_kwh", "heat_kwh", "fuel_kwh", "room_c", "outdoor_c")
TEMPERATURES = ("room_c", "outdoor_c")
M3_PER_100_FT3 = 2.83168  # 100 cubic feet; checked against 2.83 m³ as gas bills state it

# Words of trade and of a few languages, the first that fits counts.
_SPEAKS = (
    ("outdoor_c", r"outdoor|outside|ambient|außen|aussen|ext[ée]rieure?|exterior|buiten|udetemp|\bude\b|air temp"),
    ("room_c", r"room|indoor|inside|living|raum|int[ée]rieur|binnen|\binde\b|stue"),
    ("heat_kwh", r"heat (meter|output|produced|delivered|energy)|thermal|produced|yield"),
    (
        "heat_pump_kwh",
        r"heat.?pump|compressor|\bhp\b|w[äa]rmepumpe|warmtepomp|varmepumpe|pompe [àa] chaleur|bomba de calor"
        r"|electric(al)? input",
    ),
    ("heat_kwh", r"w[äa]rme|warmte|varme|chaleur|\bcalor\b|\bheat\b"),
    (
        "export_kwh",
        r"\b2[.:]8[.:]\d|export|eksport|feed.?in|sent out|to (the )?grid|returned|generation|einspeis|inje[ck]ti"
        r"|teruglever|vertido|excedent|salg",
    ),
    ("fuel_kwh", r"gas(?=\b|verb)|\bgaz\b|m³|\bm3\b|ft3|ft³|cubic|\blpg\b|\boil\b"),
    (
        "import_kwh",
        r"\b1[.:]8[.:]\d|import|consum|consom|usage|\buse[ds]?\b|electric|elektri|energy|energ[íi]a|verbrauch|bezug"
        r"|verbruik|afname|offtake|forbrug|soutir|kwh|\bwh\b|\b[gm]j\b|power|reading|register|value|volume|day|night|total|\bnet\b|grid",
    ),
)
_UNITS = (
    ("°F", r"°\s*f\b|deg\.?\s*f\b|fahrenheit|\[f\]|\(f\)|_f$|(temp\w*|outdoors?|outside|indoors?|room|air) f$"),
    ("°C", r"°\s*c\b|deg\.?\s*c|\bcelsius\b|\[c\]|\(c\)|_c$|temp"),
    ("GJ", r"\bgj\b|gigajoule|_gj$"), ("MJ", r"\bmj\b|megajoule|_mj$"),
    ("MWh", r"mwh"), ("kWh", r"kwh|kilowatt.?hours?"), ("Wh", r"(?<![km])wh\b|watt.?hours"),
    ("kW", r"\bkw\b|\(kw\)|_kw$"), ("W", r"\(w\)|\[w\]|\bw\b|\bwatts?\b|_w$"),
    ("ft3_100", r"hcf|\bccf\b|100\s*ft|hundred cubic"), ("ft3", r"\bft3\b|ft³|cubic f"), ("m3", r"m³|\bm3\b|cubic m"),
)  # fmt: skip
_REGISTER = r"register|reading|index|stand\b|counter|meter total|cumulative|total(?!s)|z[äa]hlerstand|lifetime"
# Words of what may be a part of the home only, its people's circuits or one of them, unless others say it is the whole.
_PART = (
    r"household|haushalt|huishoud|m[ée]nage|husholdning|hogar|kotitalous|appliance|plugs?\b|socket|steckdose|stopcontact"
    r"|prise\b|lights?\b|lighting|licht|kitchen|k[üu]che|cuisine|oven|cooker|herd\b|washing|dryer|fridge|freezer|dishwasher"
    r"|sub.?meter|circuit|\bcars?\b|charger|wallbox|\bev\b|laundry"
)
_WHOLE = r"import|\bgrid|whole|netz|bezug|afname|offtake|soutir|\bnet\b|\b1[.:]8[.:]"
HOME_WORDS = r"\b(house|home|flat|apartment|dwelling|unit|tenant|wohnung|maison|casa|woning)\b"
START_WORDS, END_WORDS = (
    r"start|from|begin|\bvon\b|\bvan\b|\bfra\b|d[ée]but|desde|since",
    r"\bend|until|\bto\b|stop|bis\b|fin\b|ending|\btot\b|\btil\b|hasta",
)
ENERGY_UNITS = ("kWh", "Wh", "MWh", "GJ", "MJ", "kW", "W", "m3", "ft3", "ft3_100")
SKIPPED_UNITS = (
    r"kvarh|kvar\b|\bvar\b|\beur\b|€|£|cost|price|amount|co2|carbon|flow rate|l/min|volt|\(a\)|\[a\]|\bamps?\b"
    r"|amp[eè]re|\bl[123] a\b|cop\b"
)
OTHER_WORDS = (
    r"(flow|return|supply) (temp|°)|vorlauf|r[üu]cklauf|aanvoer|retour|humid|feuchte|%|\brh\b|dew ?point|pressure|hpa\b"
    r"|battery (level|state)|signal|radiation|irradian|strahlung|w/m|\bwind\b|rain|sunshine"
)


def quantity_of(words: str) -> str | None:
    """The quantity that a column's head speaks of, None where it says none."""
    text = words.lower().replace("_", " ")
    return next((name for name, pattern in _SPEAKS if re.search(pattern, text)), None)


def unit_of_words(words: str) -> str | None:
    """The unit in a head or in a cell, None where there is none."""
    text = words.lower()
    return next((unit for unit, pattern in _UNITS if re.search(pattern, text)), None)


def is_other(words: str) -> bool:
    """Whether a head speaks of money, reactive power, humidity or the like, which is not read."""
    return bool(re.search(f"{SKIPPED_UNITS}|{OTHER_WORDS}", words.lower()))


def speaks_of_part(words: str) -> bool:
    """Whether a head speaks of people's use or of one appliance, which may be a part of the home's electricity only."""
    text = words.lower().replace("_", " ")
    return bool(re.search(_PART, text)) and not re.search(_WHOLE, text)


def speaks_of_register(words: str) -> bool:
    """Whether a head speaks of a running total."""
    return bool(re.search(_REGISTER, words.lower()))

"""The units of the bench: spellings, prefixes, and what is possible at all. PURE."""

from decimal import Decimal

# SI prefixes (BIPM, The International System of Units, 9th edition, table 7).
PREFIXES = {
    "p": -12,
    "n": -9,
    "u": -6,
    "m": -3,
    "": 0,
    "k": 3,
    "K": 3,
    "M": 6,
    "G": 9,
}
# A check's unit is one of PHYSICAL's keys; the other units are known so that a
# value of the wrong kind is called that. Single letters keep their case.
LETTERS = {
    "V": "V",
    "v": "V",
    "R": "ohm",
    "r": "ohm",
    "A": "A",
    "a": "A",
    "K": "K",
    "C": "K",
    "s": "s",
    "%": "%",
    "W": "W",
    "F": "F",
    "H": "H",
}
SPELLINGS = {
    "V": ("volt", "volts", "vdc"),
    "ohm": ("ohm", "ohms"),
    "A": ("amp", "amps", "ampere", "amperes", "adc"),
    "Hz": ("hz", "hertz"),
    "K": ("\N{DEGREE SIGN}c", "degc", "kelvin"),
    "s": ("sec", "second", "seconds"),
    "%": ("percent",),
    "W": ("watt", "watts"),
    "Ah": ("ah",),
    "Wh": ("wh",),
}
UNIT_OF = LETTERS | {word: unit for unit, words in SPELLINGS.items() for word in words}
# No meter, bench supply or board of this trade goes beyond these (judgement).
PHYSICAL = {
    "V": (-1000.0, 1000.0),
    "ohm": (0.0, 1e12),
    "A": (-200.0, 200.0),
    "Hz": (0.0, 1e10),
    "K": (-300.0, 1000.0),
    "s": (0.0, 1e7),
    "%": (0.0, 1000.0),
    "1": (-1e9, 1e9),
    "W": (0.0, 1e5),
    "F": (0.0, 1e3),
    "H": (0.0, 1e3),
    "Ah": (0.0, 1e4),
    "Wh": (0.0, 1e5),
}
# Prefixes that a value is shown with. A frequency takes none below one, because
# "mhz" is what people type for megahertz: it is refused.
SHOWN_PREFIXES = {
    "V": ("n", "u", "m", "", "k"),
    "ohm": ("n", "u", "m", "", "k", "M", "G"),
    "A": ("p", "n", "u", "m", ""),
    "Hz": ("", "k", "M", "G"),
    "W": ("n", "u", "m", "", "k"),
    "F": ("p", "n", "u", "m", ""),
    "H": ("p", "n", "u", "m", ""),
    "s": ("u", "m", ""),
    "J": ("u", "m", "", "k"),
}
# From here up the plain unit reads better than the thousandth: 0.41 V, 0.2 ohm.
PLAIN_FROM = {unit: Decimal("0.1") for unit in ("V", "ohm", "W", "s")}
SIGNS = {"ohm": "\N{GREEK CAPITAL LETTER OMEGA}", "1": ""}
FINEST = -12  # without a digit given, nothing below a pico is shown

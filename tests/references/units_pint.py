"""Writes units_pint.txt: the factor of every unit to coherent SI units, from an independent table.

The table is that of the package Pint (0.25.3), computed in decimal arithmetic, so that its own exact
definitions (grain, yard, standard gravity) come through unrounded.

    python3 -m venv venv && venv/bin/pip install pint==0.25.3
    venv/bin/python tests/references/units_pint.py

Pint's definitions agree with NIST SP 811 for every unit here except in name:
- `slug`, `plf`, `klf`, `pcf`, `kcf`, `psf`, `ksf` are composed below from pound-force, foot and second,
  where Pint has no such name or a name for something else;
- `gal` is the US liquid gallon of 231 cubic inches;
- `h`, `d`, `min` and `t` are the units accepted beside the SI, `t` being 1000 kg and no short ton;
- `g_n` is the standard acceleration due to gravity;
- `K` and `°C` are differences of temperature.
"""

from decimal import Decimal, getcontext
from pathlib import Path

import pint

UNITS = {
    "nm": "nanometer",
    "µm": "micrometer",
    "mm": "millimeter",
    "cm": "centimeter",
    "dm": "decimeter",
    "m": "meter",
    "km": "kilometer",
    "in": "inch",
    "ft": "foot",
    "yd": "yard",
    "mi": "mile",
    "ha": "hectare",
    "mL": "milliliter",
    "L": "liter",
    "gal": "US_liquid_gallon",
    "mg": "milligram",
    "g": "gram",
    "kg": "kilogram",
    "Mg": "megagram",
    "t": "metric_ton",
    "oz": "ounce",
    "lb": "pound",
    "slug": "force_pound * second**2 / foot",
    "mN": "millinewton",
    "N": "newton",
    "kN": "kilonewton",
    "MN": "meganewton",
    "ozf": "force_ounce",
    "lbf": "force_pound",
    "kip": "kip",
    "plf": "force_pound / foot",
    "klf": "kip / foot",
    "pcf": "force_pound / foot**3",
    "kcf": "kip / foot**3",
    "Pa": "pascal",
    "hPa": "hectopascal",
    "kPa": "kilopascal",
    "MPa": "megapascal",
    "GPa": "gigapascal",
    "psf": "force_pound / foot**2",
    "ksf": "kip / foot**2",
    "psi": "pound_force_per_square_inch",
    "ksi": "kip_per_square_inch",
    "J": "joule",
    "kJ": "kilojoule",
    "W": "watt",
    "kW": "kilowatt",
    "ms": "millisecond",
    "s": "second",
    "min": "minute",
    "h": "hour",
    "d": "day",
    "Hz": "1 / second",
    "g_n": "standard_gravity",
    "K": "kelvin",
    "°C": "delta_degree_Celsius",
    "rad": "radian",
    "mrad": "milliradian",
    "°": "degree",
    "%": "percent",
    "‰": "permille",
}

getcontext().prec = 40
registry = pint.UnitRegistry(non_int_type=Decimal)


def factor(expression: str) -> Decimal:
    quantity = Decimal(1) * registry.parse_expression(expression)
    base = quantity.to_base_units()
    known = {"[length]", "[mass]", "[time]", "[temperature]"}
    assert set(base.dimensionality) <= known, expression
    return base.magnitude


lines = [f"{symbol}\t{factor(expression):.16e}" for symbol, expression in UNITS.items()]
path = Path(__file__).with_suffix(".txt")
path.write_text("\n".join(lines) + "\n", encoding="utf-8")

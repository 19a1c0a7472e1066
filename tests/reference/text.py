"""Records as text, and the readings as the text says them."""

PLATE = """format: 1

[ct]
id: REF-{n}
standard: IEC 61869-2:2012
highest voltage: 145 kV
frequency: 50 Hz
insulation: {insulation}
primary turns: 1
"""

VISIT = """
[visit 2026-03-14]
purpose: commissioning
tested by: R. Anvik
ambient: 18.5 C
instrument: M1
"""

SHIFT = {"V": 0, "mV": -3, "A": 0, "mA": -3, "uA": -6, "nA": -9, "ohm": 0, "mohm": -3, "kV": 3}


class Reading:
    """A number as written in a unit: its SI value by decimal shift and the weight of its last digit."""

    def __init__(self, text, unit):
        self.text, self.unit = text, unit
        decimals = len(text.partition(".")[2])
        self.si = float(f"{text}e{SHIFT[unit]}")
        self.digit = float(f"1e{SHIFT[unit] - decimals}")


def significant(x, digits):
    """x rounded to significant digits, written without an exponent."""
    from decimal import Decimal

    return format(Decimal(f"{x:.{digits - 1}e}"), "f")


def written(x, unit, digits):
    """A value in SI as a reading in a unit with that many significant digits."""
    return Reading(significant(x / 10.0 ** SHIFT[unit], digits), unit)


def table(heading, rows):
    """A table: heading words and rows of cells."""
    return "\n".join(["  ".join(heading)] + ["  ".join(row) for row in rows]) + "\n"

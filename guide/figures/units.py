"""Constants of the trade, each in the unit its name says, and the one way numbers are written out."""

from __future__ import annotations

import math

METRES_PER_NM = 1852.0
MS_PER_KN = METRES_PER_NM / 3600
GRAVITY_MS2 = 9.80665
SEA_WATER_KG_M3 = 1025.0
STANDARD_AIR_KPA = 101.325
ZERO_C_IN_KELVIN = 273.15


def written(number: float) -> str:
    """`number` as a person would write it: four significant digits, no exponent between 0.001 and a million."""
    if abs(number) >= 10_000:
        return f"{number:,.0f}" if abs(number) < 1e9 else f"{number:.4g}"
    return f"{number:.4g}"


class Plainly(float):
    """A number that stands in a sentence as a person would write it."""

    def __format__(self, spec: str) -> str:
        return super().__format__(spec) if spec else written(self)


def rounded(number: float) -> str:
    """`number` to three significant digits, for an estimate that deserves no more."""
    if number == 0 or not math.isfinite(number):
        return f"{number:g}"
    digits = 2 - math.floor(math.log10(abs(number)))
    return f"{round(number, digits):,.{max(0, digits)}f}" if digits < 6 else f"{number:.3g}"


def unit_written(unit: str) -> str:
    """`unit` as it is printed after a number, with a leading space; empty where there is none to print."""
    shown = {"degC": "°C", "deg": "degrees", "fraction": "", "ratio": ""}.get(unit, unit)
    return f" {shown}" if shown else ""

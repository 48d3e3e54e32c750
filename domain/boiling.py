"""Altitude: where water boils, and what that changes.

Pressure: the standard atmosphere of ISO 2533:1975 below 11 km, from geopotential altitude.
Boiling point: the saturation temperature of water, IAPWS-IF97 region 4, equation 31 with the
coefficients of its table 34 (Revised Release of 2007). IF97 gives 99.97 °C at 101,325 Pa.
"""

from dataclasses import dataclass
from functools import cache
from math import sqrt

from domain.sources import CITED, TABLES, Source, cited, rows
from domain.yamlfile import Entry, read

METRES_PER_FOOT = 0.3048
SEA_LEVEL_PA = 101325.0
_SEA_LEVEL_K = 288.15
_LAPSE_K_PER_M = 0.0065
_GRAVITY = 9.80665  # m/s²
_AIR = 287.05287  # J/(kg K), the standard's specific gas constant of dry air
HIGHEST_M = 9000.0  # above every kitchen; the formulae hold to 11 km
LOWEST_M = -450.0  # below every kitchen (the Dead Sea's shore lies at about −430 m)

_N: tuple[float, ...] = (
    0.11670521452767e4,
    -0.72421316703206e6,
    -0.17073846940092e2,
    0.12020824702470e5,
    -0.32325550322333e7,
    0.14915108613530e2,
    -0.48232657361591e4,
    0.40511340542057e6,
    -0.23855557567849,
    0.65017534844798e3,
)


@dataclass(frozen=True)
class BoilingPoint:
    """A published boiling point of water: at `feet`, `fahrenheit`."""

    feet: float
    fahrenheit: float
    source: Source


@dataclass(frozen=True)
class AltitudeChange:
    """What changes from from_metres up."""

    rule: str
    from_metres: float
    source: Source


def pressure_pa(metres: float) -> float:
    """Standard pressure in pascals at an altitude in metres (ISO 2533)."""
    exponent = _GRAVITY / (_AIR * _LAPSE_K_PER_M)
    return float(SEA_LEVEL_PA * (1 - _LAPSE_K_PER_M * metres / _SEA_LEVEL_K) ** exponent)


def saturation_kelvin(pascals: float) -> float:
    """The boiling point of water in kelvin at a pressure in pascals (IAPWS-IF97 region 4)."""
    n1, n2, n3, n4, n5, n6, n7, n8, n9, n10 = _N
    beta = sqrt(sqrt(pascals / 1e6))
    e = beta**2 + n3 * beta + n6
    f = n1 * beta**2 + n4 * beta + n7
    g = n2 * beta**2 + n5 * beta + n8
    d = 2 * g / (-f - sqrt(f**2 - 4 * e * g))
    return (n10 + d - sqrt((n10 + d) ** 2 - 4 * (n9 + n10 * d))) / 2


def boils_at_celsius(metres: float) -> float:
    """Where water boils, in degrees Celsius. Raises ValueError outside any kitchen's altitude."""
    if not LOWEST_M <= metres <= HIGHEST_M:
        raise ValueError(f"no kitchen stands at {metres:g} m")
    return saturation_kelvin(pressure_pa(metres)) - 273.15


@cache
def boiling_points() -> tuple[BoilingPoint, ...]:
    """Published boiling points of water by altitude."""
    return rows(_altitude()["points"], _boiling_point)


@cache
def altitude_changes() -> tuple[AltitudeChange, ...]:
    """What altitude changes in cooking."""
    return rows(_altitude()["changes"], _altitude_change)


def _altitude() -> dict[str, Entry]:
    return read(TABLES / "altitude.yaml").fields(("points", "changes"))


def _boiling_point(entry: Entry) -> BoilingPoint:
    row = entry.fields(("feet", "fahrenheit", *CITED))
    return BoilingPoint(
        row["feet"].number(0, 30000), row["fahrenheit"].number(100, 212), cited(row)
    )


def _altitude_change(entry: Entry) -> AltitudeChange:
    row = entry.fields(("rule", "from_metres", *CITED))
    return AltitudeChange(row["rule"].text(), row["from_metres"].number(0, 9000), cited(row))

"""Adjustment factors for connections, allowable stress design: how long a load stays, how wet and warm the wood is."""

from __future__ import annotations

from typing import Final, Literal

Duration = Literal["permanent", "ten years", "two months", "seven days", "ten minutes"]
Service = Literal["dry", "wet", "fabricated wet"]

DURATION: Final[dict[Duration, float]] = {
    "permanent": 0.9,
    "ten years": 1.0,
    "two months": 1.15,
    "seven days": 1.25,
    "ten minutes": 1.6,
}
"""C_D, NDS Table 2.3.2 (transcribed, p. 11). Impact, 2.0, is not allowed for connections."""

STORED: Final = DURATION["permanent"]
"""Stored tools stay for years: a permanent load."""

END_GRAIN: Final = 0.67
"""C_eg, NDS 12.5.2: lateral load on a screw driven into end grain (transcribed)."""


def wet_withdrawal(service: Service) -> float:
    """Return C_M for withdrawal of screws, NDS Table 11.3.3: 1.0 dry, 0.7 wet in service (transcribed, p. 66).

    Wood put together wet and dry in service is not in what was transcribed; it is taken as wet, the lower.

    >>> wet_withdrawal("dry"), wet_withdrawal("wet")
    (1.0, 0.7)
    """
    return 1.0 if service == "dry" else 0.7


def wet_lateral(service: Service, diameter: float) -> float:
    """Return C_M for lateral load, NDS Table 11.3.3 (transcribed, p. 66); ``diameter`` in inches.

    Wet in service 0.7; fabricated wet and dry in service 0.7 below 1/4 in. Larger fasteners fabricated wet depend on
    their arrangement, which was not transcribed: 0.4, the lowest of that table (from memory).

    >>> wet_lateral("dry", 0.19), wet_lateral("wet", 0.19), wet_lateral("fabricated wet", 0.19)
    (1.0, 0.7, 0.7)
    """
    if service == "dry":
        return 1.0
    return 0.7 if service == "wet" or diameter < 0.25 else 0.4


def temperature(fahrenheit: float, service: Service = "dry") -> float:
    """Return C_t, NDS Table 11.3.4 (transcribed, p. 67).

    1.0 up to 100 F; 0.8 dry and 0.7 wet up to 125 F; 0.7 and 0.5 up to 150 F.
    Raises ``ValueError`` above 150 F, for which the table has no value.

    >>> temperature(70), temperature(120), temperature(140, "wet")
    (1.0, 0.8, 0.5)
    """
    if fahrenheit <= 100:
        return 1.0
    if fahrenheit > 150:
        raise ValueError(f"no factor above 150 F, {fahrenheit:g} F was given")
    if fahrenheit <= 125:
        return 0.8 if service == "dry" else 0.7
    return 0.7 if service == "dry" else 0.5

"""How far a temperature forecast is off, by how many hours ahead it looks."""

from __future__ import annotations

__all__ = ["lead_error_c", "lead_growth"]

# Mean absolute errors of published temperature forecasts 1 to 3 days ahead: 1.03, 1.15, 1.36 C (MetGIS, Schmittenhoehe,
# Austria, winter 2011/12, 300 forecasts, metgis.com, read 2026-11-25), times sqrt(pi/2) for the standard deviation of a
# normal error. Its 1.82 and 2.32 of days 4 and 5 are a mountain's: at sites without a bias 1.90 and 2.17 C were measured
# (docs/cold.md). Beyond five days about the last slope goes on, up to the 4 C of a guess by season.
_LEAD_SD_C = (1.29, 1.44, 1.70, 1.90, 2.17)
_LEAD_SLOPE_C, _LEAD_CAP_C = 0.3, 4.0


def lead_error_c(lead_h: float) -> float:
    """Standard deviation of a forecast's temperature so many hours ahead, degrees C."""
    day = max(lead_h / 24.0, 1.0) - 1.0
    whole = int(day)
    if whole >= len(_LEAD_SD_C) - 1:
        return min(_LEAD_SD_C[-1] + _LEAD_SLOPE_C * (day - len(_LEAD_SD_C) + 1), _LEAD_CAP_C)
    return _LEAD_SD_C[whole] + (day - whole) * (_LEAD_SD_C[whole + 1] - _LEAD_SD_C[whole])


def lead_growth(lead_h: float) -> float:
    """How many times greater the error is than a day ahead, 1 or more."""
    return lead_error_c(lead_h) / _LEAD_SD_C[0]

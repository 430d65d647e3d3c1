"""Handbook ranges for culturing microalgae, apart from any strain.

Source of all: FAO Fisheries Technical Paper 361 (Lavens & Sorgeloos 1996), Table 2.2.
"""

from __future__ import annotations

TEMPERATURE_C = (16.0, 27.0)  # FAO 361 Table 2.2, range in degC (optimum 18-24)
SALINITY_G_PER_KG = (12.0, 40.0)  # FAO 361 Table 2.2, range in g/L as printed (optimum 20-24)
LEAST_LIGHT_H = 16.0  # FAO 361 Table 2.2, minimum photoperiod 16:8

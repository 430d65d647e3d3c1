"""Seawater: density, salinity, dry salt and dilution."""

"""One vessel: growth, ripe day, calibration, lineage."""

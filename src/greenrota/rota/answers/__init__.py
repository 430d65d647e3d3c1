"""Answers: questions about a rota that is made (why, changes, lineage, away, calibration)."""

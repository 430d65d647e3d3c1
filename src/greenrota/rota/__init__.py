"""The rota: from a plan and its logbook to dated tasks, stage by stage (one folder each)."""

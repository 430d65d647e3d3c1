"""The rota: plan, state, scheduling, tasks, ledger, lineage."""

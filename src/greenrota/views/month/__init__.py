"""A month at a glance."""

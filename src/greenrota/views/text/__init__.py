"""Text that all pages share: amounts, days, tables, charts, JSON."""

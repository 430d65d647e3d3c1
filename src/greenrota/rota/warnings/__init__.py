"""Warnings: what to know before trusting a rota."""

"""Seasons by chance, and the smallest shelf."""

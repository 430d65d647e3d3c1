"""The colours of all printed pages, all grey. Text stands out from its ground by more than 4.5 to 1."""

from __future__ import annotations

PAPER = "#ffffff"
INK = "#000000"  # text and the line that matters most
SECOND = "#4a4a4a"  # second lines and axes; our choice
SHADE = "#e2e2e2"  # a filled field; text on it stands in INK; our choice
FAINT = "#f0f0f0"  # the ground of days without work; text on it stands in INK; our choice

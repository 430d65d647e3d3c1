"""Undetermined: what a fit says when its data do not determine the parameters."""


class Undetermined(ValueError):
    """The data do not determine these parameters; the message says what is missing."""

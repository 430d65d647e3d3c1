"""The trade as pure functions on floats; units are in the names."""

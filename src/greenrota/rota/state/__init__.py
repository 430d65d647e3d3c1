"""State: vessels, bottles, and the actions on them; what a vessel can do and who may give culture to whom."""

"""Text of a plan: units and their spellings, places of keys, and the error for a wrong value."""

"""Today on one screen."""

"""Views: every function here returns text; nothing here prints."""

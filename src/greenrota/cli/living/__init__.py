"""Commands for living with a rota."""

"""Risk: seasons played out by chance under the rules of the rota."""

"""Clock, screen, files: what is outside of the program, and the rota read from it."""

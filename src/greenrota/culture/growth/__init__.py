"""Growth: light, temperature, nutrients and carbon make the course of a culture."""

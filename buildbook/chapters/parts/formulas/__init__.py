"""Pure functions of parts and materials: runs of numbers, days left."""

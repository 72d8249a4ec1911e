"""The types every other part speaks in. Nothing here imports the rest of the project."""

"""From a finished book to files; nothing here judges, rounds or sorts."""

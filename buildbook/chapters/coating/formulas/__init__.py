"""The arithmetic of the coating chapter: climate, film, adhesion, appearance, schedule, preparation."""

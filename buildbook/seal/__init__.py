"""Is this the same book, who vouches for it, and what changed since the one before."""

"""Parts of the generator that writes the invented hull's folder. Everything here is made up."""

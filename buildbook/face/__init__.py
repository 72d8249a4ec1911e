"""A builder's own face: his theme folder and his own texts, read, checked and refused with reasons."""

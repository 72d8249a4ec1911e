"""The checks of the chapter, each in the module of its subject."""

"""Tables of the systems and of the tests with the whole boat, one module for each subject."""

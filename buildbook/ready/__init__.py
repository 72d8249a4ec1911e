"""What keeps a book from being shown: a page for the yard's own sales people, never part of a book."""

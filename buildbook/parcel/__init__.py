"""The evidence package: what the book was made from and how, in one file that stock tools can open and check."""

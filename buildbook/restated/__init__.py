"""A book told in other units: numbers, charts and texts of a finished Book, judged as before."""

"""The surveyor's readings beside the yard's: the sheet he fills, and the comparison of what he found."""

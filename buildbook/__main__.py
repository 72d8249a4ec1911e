"""`python -m buildbook` is the same as the command `buildbook`."""

from buildbook.cli import main

if __name__ == "__main__":
    main()

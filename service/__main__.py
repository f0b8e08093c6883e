"""Starts the command line: ``python -m service``."""

from service.cli import main

if __name__ == "__main__":
    main()

"""`python -m spectro` does what the `spectro` command does."""

from spectro.cli.main import main

if __name__ == "__main__":
    main()

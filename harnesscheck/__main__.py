"""``python -m harnesscheck`` runs the command line."""

from harnesscheck.cli.entry import main

if __name__ == "__main__":
    main()

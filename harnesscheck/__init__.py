"""Two cars' wiring harnesses, compared contact by contact."""

__version__ = "0.1.0"

"""The command line: the only layer that prints, raises and sets exit statuses."""

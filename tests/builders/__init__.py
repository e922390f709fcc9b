"""Cars, files, circuits and scenes that tests are made of, and the oracles they are held against."""

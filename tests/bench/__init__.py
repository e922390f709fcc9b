"""Tests of what is done at the bench."""

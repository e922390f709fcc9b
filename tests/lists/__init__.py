"""Tests of the lists that are ticked."""

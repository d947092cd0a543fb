"""Findings in words, in the reader's unit."""

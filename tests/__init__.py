"""Tests of the whole project; `python -m tests` runs linter, type checker and tests."""

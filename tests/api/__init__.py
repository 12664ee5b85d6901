"""Tests of `api`."""

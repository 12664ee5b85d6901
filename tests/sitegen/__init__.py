"""Tests of `sitegen`."""

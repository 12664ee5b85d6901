"""Tests of `sizing`."""

"""Tests of the workshop's plan."""

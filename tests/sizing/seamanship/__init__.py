"""Tests of the audit."""

"""Benchmarks, run by hand: `python -m tests.benchmarks.NAME`; ratios against a baseline in the same run."""

"""Measurements, each printed as a ratio in one run. Never part of the test suite: a busy machine is no fault."""

"""Measurements of the guide, printed as tables: `python -m tests.benchmarks [language|speed|load|crash|rubbish]`."""

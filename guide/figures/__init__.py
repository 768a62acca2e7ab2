"""Figures: numbers a crew asks for, each with its inputs, assumption, limits and sources.

``guide.figures.catalogue`` computes them by id; ``guide.figures.command`` is the command line.
"""

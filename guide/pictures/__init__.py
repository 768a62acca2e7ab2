"""Figures as pictures: stock over days, what is seen from where, drift with its spread; as text, PNG or SVG."""

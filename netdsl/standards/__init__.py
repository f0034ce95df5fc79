"""Figures from published standards as data files, each with its source and confidence."""

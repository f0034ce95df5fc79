"""Sheets become files; writers translate and decide nothing."""

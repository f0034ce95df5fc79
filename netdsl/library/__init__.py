"""Shipped parts and schemes, written in the language."""

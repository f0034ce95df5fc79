"""A text language for motor-drive control panels: reads it, connects it and says what it makes."""

__version__ = "0.1.0"

"""The statements of the language, a family of them in each module: the table of what each takes, and what it makes of a plant."""

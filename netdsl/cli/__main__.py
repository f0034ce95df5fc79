"""`python -m netdsl.cli`: the same as the command `netdsl`."""

from netdsl.cli import script

if __name__ == "__main__":
    script()

"""Proposals: the smallest standard section or rating that passes every check, and writing them into the text."""

from netdsl.sizing.proposals import Proposal, Sizing, propose
from netdsl.sizing.writing import Unwritten, texts_with

__all__ = ["Proposal", "Sizing", "Unwritten", "propose", "texts_with"]

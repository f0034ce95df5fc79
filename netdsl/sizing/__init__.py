"""Proposals: the smallest standard section or rating that passes every check, and writing them into the text."""

from netdsl.sizing.proposals import Proposal, Sizing, propose, propose_open
from netdsl.sizing.writing import Unwritten, texts_with

__all__ = ["Proposal", "Sizing", "Unwritten", "propose", "propose_open", "texts_with"]

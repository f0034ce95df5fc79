"""Proposals: the smallest standard size with which every check is computed and kept, and writing them into the text."""

from netdsl.sizing.proposals import STANDARD, Proposal, Sizing, Verdict, propose, propose_open
from netdsl.sizing.search import limit_of
from netdsl.sizing.writing import Unwritten, texts_with

__all__ = ["STANDARD", "Proposal", "Sizing", "Unwritten", "Verdict", "limit_of", "propose", "propose_open", "texts_with"]

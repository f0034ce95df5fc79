"""Things of a plant called otherwise: the words of the text that change, and the proof that nothing else does."""

from netdsl.renaming.mentioned import Mentioned, mentioned
from netdsl.renaming.outcome import Refused, Renaming
from netdsl.renaming.renames import rename
from netdsl.renaming.renumbers import inserted, moved

__all__ = ["Mentioned", "Refused", "Renaming", "inserted", "mentioned", "moved", "rename"]

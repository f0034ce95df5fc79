"""IEC 60617 symbols: our own geometry, drawn once as schemdraw elements and kept as primitives."""

from render.symbols.catalogue import Symbol, conductor_count, moved, placed, symbol, symbol_names

__all__ = ["Symbol", "conductor_count", "moved", "placed", "symbol", "symbol_names"]

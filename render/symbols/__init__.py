"""IEC 60617 symbols: our own geometry, drawn once as schemdraw elements and kept as primitives."""

from render.symbols.catalogue import Symbol, by_quantity, conductor_count, moved, placed, symbol, symbol_names

__all__ = ["Symbol", "by_quantity", "conductor_count", "moved", "placed", "symbol", "symbol_names"]

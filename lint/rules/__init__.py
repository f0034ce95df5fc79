"""One module per family of rules; a module dropped in here is found by itself."""

"""One module per list; a list is found here by its decorator."""

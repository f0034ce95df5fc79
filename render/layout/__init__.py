"""Where things go on a sheet, and how much room they take; knows nothing of file formats."""

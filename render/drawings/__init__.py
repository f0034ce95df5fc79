"""One module per kind of drawing, or per part of one; a drawing is found here by its decorator."""

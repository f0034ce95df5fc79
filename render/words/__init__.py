"""What sheets say of a plant, in words: designations, ratings, cables, terminals, figures. Nothing here has a place yet."""

"""One reader, one file: each turns one kind of drawing into a sketch that cleaning takes on."""

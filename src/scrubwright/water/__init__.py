"""Solution flow and dose, and what both tanks hold along the way."""

"""How long planning takes and how much memory, and how both grow with the floor."""

"""How people are taught: reading level."""

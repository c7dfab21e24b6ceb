"""The plate: what this scrubber is, and what follows from its geometry."""

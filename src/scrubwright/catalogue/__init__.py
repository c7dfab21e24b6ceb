"""What the trade knows of each part of a scrubber: checks, service items, faults, lessons and cautions."""

"""Scrubwright: the tool of the person who looks after battery ride-on floor scrubbers."""

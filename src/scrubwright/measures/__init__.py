"""Ground floor: units, sentences, errors and provenance, used by every other room."""

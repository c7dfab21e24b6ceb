"""Meters, part lives, due dates, replacement age, spares."""

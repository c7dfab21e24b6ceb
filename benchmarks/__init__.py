"""Floors made to measure by, and what the planner reaches on them: quality against a bound, speed against a clock."""

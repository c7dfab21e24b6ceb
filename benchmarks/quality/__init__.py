"""How good the plans are: against a naive lawn-mower, a general solver, a proved bound and the targets."""

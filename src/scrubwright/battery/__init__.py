"""The pack: gravity, charge left, runtime, charging, water, cells, room air and health."""

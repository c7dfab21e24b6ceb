"""Constants of nature that more than one module computes with."""

# CODATA 2018, exact: elementary charge times Avogadro's number.
FARADAY_C_PER_MOL = 96485.33212
SECONDS_PER_H = 3600.0
# Electrons in an ampere-hour.
MOL_PER_AH = SECONDS_PER_H / FARADAY_C_PER_MOL
# IUPAC 2021 standard atomic weights, abridged: H 1.008, O 15.999.
WATER_KG_PER_MOL = (2 * 1.008 + 15.999) / 1000
# Of pure water at 25 °C (CRC Handbook of Chemistry and Physics), where specific gravities are counted from.
WATER_KG_PER_L = 0.99705

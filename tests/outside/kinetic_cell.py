"""One 2 V cell as NREL-PySAM's stateful battery runs it: the kinetic model with nothing else in the way.

Its lead-acid defaults contradict themselves (100 Ah over 20 h, but 43 over 10 h and 40 over 1 h) and add warmth,
ageing and limits of the charge; here the rated capacities are the caller's and all else is neutral.
"""

from importlib.metadata import version

from PySAM import BatteryStateful

VERSION = version("nrel-pysam")
_ALWAYS = 100.0


class KineticCell:
    """A cell that is stepped minute by minute, or in steps of its own length.

    Parameters
    ----------
    rated_ah
        Over 20 h, 10 h and 1 h.
    charge_percent
        At the beginning, rested.
    step_h
        Length of a step.
    """

    def __init__(self, rated_ah: tuple[float, float, float], charge_percent: float = 100.0, step_h: float = 1 / 60):
        self._cell = cell = BatteryStateful.default("LeadAcid")
        cell.Controls.assign({"control_mode": 0.0, "dt_hr": step_h, "input_current": 0.0})
        over_20_h, over_10_h, over_1_h = rated_ah
        cell.ParamsCell.assign(
            {
                "leadacid_q20": over_20_h,
                "leadacid_q10": over_10_h,
                "leadacid_qn": over_1_h,
                "leadacid_tn": 1.0,
                "Qfull": over_20_h,
                "initial_SOC": charge_percent,
                "minimum_SOC": 0.0,
                "maximum_SOC": 100.0,
                "cycling_matrix": [[depth, at, _ALWAYS] for depth in (20.0, 100.0) for at in (0.0, 10_000.0)],
                "calendar_choice": 0.0,
                "voltage_choice": 1.0,
                "voltage_matrix": [[0.0, 2.1], [100.0, 1.9]],
                "resistance": 1e-4,
            }
        )
        # As many strings as the energy fills: one of one cell.
        cell.ParamsPack.assign(
            {
                "nominal_voltage": 2.0,
                "nominal_energy": 2.0 * over_20_h / 1000,
                "cap_vs_temp": [[-50.0, _ALWAYS], [100.0, _ALWAYS]],
                "loss_choice": 0.0,
                "monthly_charge_loss": [0.0] * 12,
                "monthly_discharge_loss": [0.0] * 12,
                "monthly_idle_loss": [0.0] * 12,
            }
        )
        cell.setup()

    def step(self, current_a: float) -> float:
        """Ask for a current for one step; what it gave, which its limits may cut [A]."""
        self._cell.Controls.input_current = current_a
        self._cell.execute(0)
        return float(self._cell.StatePack.I)

    @property
    def total_ah(self) -> float:
        return float(self._cell.StateCell.q0)

    @property
    def available_ah(self) -> float:
        return float(self._cell.StateCell.q1_0)

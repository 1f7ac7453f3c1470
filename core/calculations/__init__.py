"""Every calculation of the trade, by name: what the stages, the calculators page and the command line offer."""

from core.calculations.declare import Calculation, Input, Outcome, Result, work_out
from core.calculations.registry import CALCULATIONS, calculation
from core.calculations.typed import RefusedInputError

__all__ = ["CALCULATIONS", "Calculation", "Input", "Outcome", "RefusedInputError", "Result", "calculation", "work_out"]

"""The six stages of a rebuild, in order of work, and what is done with them."""

from core.stages.evaluate import evaluate_accepted, evaluate_job, evaluate_stage
from core.stages.registry import STAGES, register, stage
from core.stages.take import take

__all__ = ["STAGES", "evaluate_accepted", "evaluate_job", "evaluate_stage", "register", "stage", "take"]

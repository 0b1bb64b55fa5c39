"""CP-SAT set up so that the same model, seed and limit of work give the same answer."""

from time import monotonic

from ortools.sat.python import cp_model


def repeatable_solver(seed: int, work: float, until: float = float("inf")) -> cp_model.CpSolver:
    """One worker, interleaved search, a limit in deterministic time; a Ctrl-C is not CP-SAT's.

    The answer is the same on one core or many, and each time, unless `until` on the clock
    cuts it off.
    """
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.interleave_search = True
    solver.parameters.random_seed = seed
    solver.parameters.linearization_level = 2
    solver.parameters.max_deterministic_time = work
    solver.parameters.max_time_in_seconds = max(0.1, until - monotonic())
    solver.parameters.catch_sigint_signal = False
    return solver

"""The small random shops of the solver's tests, for the slow evaluator too."""

from tests.solver.conftest import make_shop

__all__ = ["make_shop"]

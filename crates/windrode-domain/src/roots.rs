//! Bracketing root finder: the only iterative solver.

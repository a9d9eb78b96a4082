"""Floor 1: YAML to frozen records that keep their place in the file; formulas."""

from planpress.description.formulas import Formula, FormulaError, parse_formula, solve_names
from planpress.description.reader import read_description

__all__ = ["Formula", "FormulaError", "parse_formula", "read_description", "solve_names"]

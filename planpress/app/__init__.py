"""Floor 7: joins the floors: load, solve, compose, write."""

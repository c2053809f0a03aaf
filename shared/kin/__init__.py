"""Where fish come from and how closely bred they are."""

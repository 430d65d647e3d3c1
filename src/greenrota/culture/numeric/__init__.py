"""Numbers: roots, quantiles, least squares and its intervals."""

"""What drawings are made of: shapes drawn from numbers, parts drawn once, a sheet to look at."""

"""What only all the facts of one entry show: told twice, in steps, compared, left over."""

"""Published numbers and stated choices: one CSV a table, read by one typed reader."""

"""Ring out: which readings prove the looms, and the sheet they are written on."""

"""What goes under the car: the job on paper, sheet by sheet, from the same blocks and lists as every report."""

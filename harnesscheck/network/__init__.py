"""What is joined to what in one car, and what that makes of it: nets, elements, reach."""

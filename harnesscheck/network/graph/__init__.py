"""What is joined to what in one car: pieces, nets, reach, and what each half of a plug brings."""

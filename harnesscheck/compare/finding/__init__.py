"""What a finding is: its kind, its order, its words."""

"""Drawings of one car, or of two side by side: connector faces, meeting sheets, circuit sheets, the overview."""

"""Drawings of one car, or of two side by side: connector faces, meeting sheets, current flow, the overview."""

"""Runs a notebook somewhere safe and brings plain values back."""

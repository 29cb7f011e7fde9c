"""Comparing before cutting: what other heights, blades and sheets would come to, and what a budget buys."""

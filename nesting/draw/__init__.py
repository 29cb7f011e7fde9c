"""Drawings, ink on paper."""

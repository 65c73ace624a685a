"""Roughing in levels: job in, plan out."""

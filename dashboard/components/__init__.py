"""Pieces of layout that every page shares."""

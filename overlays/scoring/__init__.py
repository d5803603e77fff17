"""Figures → points → standings → ledger; how sure the order is."""

"""Tests of alike ports, plans, mistakes, reconciliation and worksheets."""

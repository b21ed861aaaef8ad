"""Cures, verified: the smallest change that mends what is over or marginal, found by checking it again."""

from psucheck.studies.cures.search import check_with_cures, with_cures

__all__ = ["check_with_cures", "with_cures"]

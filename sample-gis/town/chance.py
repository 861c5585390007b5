"""Seeded chance that is the same in every Python version.

Only random.Random(int).random() is used: its sequence is guaranteed, while the
derived methods (shuffle, gauss, choice) have changed between versions.
"""
import math
import random


class Chance:
    """One independent stream of numbers; give every stage its own."""

    def __init__(self, seed):
        self._next = random.Random(seed).random

    def share(self):
        """Uniform in [0, 1)."""
        return self._next()

    def hit(self, probability):
        return self._next() < probability

    def between(self, low, high):
        return low + (high - low) * self._next()

    def whole(self, low, high):
        """Whole number from low to high, both included."""
        return low + int(self._next() * (high - low + 1))

    def pick(self, items):
        return items[int(self._next() * len(items))]

    def weighted(self, pairs):
        """One of [(item, weight), ...]."""
        left = self._next() * sum(weight for _, weight in pairs)
        for item, weight in pairs:
            left -= weight
            if left < 0:
                return item
        return pairs[-1][0]

    def bell(self, mean, spread):
        """Near-normal: the sum of twelve uniform numbers."""
        return mean + spread * (sum(self._next() for _ in range(12)) - 6.0)

    def waiting(self, mean):
        """Exponential with the given mean."""
        return -mean * math.log(1.0 - self._next())

    def sample(self, items, count):
        """`count` different items, in the order drawn."""
        left = list(items)
        drawn = []
        for _ in range(min(count, len(left))):
            drawn.append(left.pop(int(self._next() * len(left))))
        return drawn

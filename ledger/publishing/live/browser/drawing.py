"""Draws of a few hundred, spread evenly over each quantity's chances and shuffled apart by the quantity's name.

Each of n draws stands for an n-th of the probability: the quantile at its middle. So a few hundred of them cover a
quantity as thousands of independent ones would, and the same names give the same draws on every machine.
Sources: stratified sampling, McKay, Beckman and Conover, Technometrics 21 (1979) 239; the generator that shuffles,
Park and Miller, Communications of the ACM 31 (1988) 1192.
"""

from __future__ import annotations

from math import erf, exp, pi, sqrt

MULTIPLIER, MODULUS = 16807, 2147483647
_normals = {}


def quantiles(stated, count):
    """Return the quantiles of a stated quantity at the middles of `count` equal shares, in order."""
    numbers = stated.numbers
    if stated.shape == "normal":
        return [numbers[0] + numbers[1] * one for one in normals(count)]
    shares = [(place + 0.5) / count for place in range(count)]
    if stated.shape == "rectangular":
        low, high = numbers
        return [low + (high - low) * share for share in shares]
    if stated.shape == "triangular":
        return [_triangular(numbers, share) for share in shares]
    return [_whole(stated.pairs, share) for share in shares] if stated.shape == "whole" else [numbers[0]] * count


def normals(count):
    """Return the quantiles of the standard normal distribution at the middles of `count` equal shares."""
    if count not in _normals:
        above = [normal((place + 0.5) / count) for place in range((count + 1) // 2, count)]
        _normals[count] = [-one for one in reversed(above)] + [0.0] * (count % 2) + above
    return _normals[count]


def normal(share):
    """Return the standard normal quantile of a share of one half or more, below 1: Newton's steps from nought."""
    value = 0.0
    for _ in range(100):
        step = (share - 0.5 - 0.5 * erf(value / sqrt(2.0))) * sqrt(2.0 * pi) * exp(0.5 * value * value)
        value += step
        if abs(step) <= 1e-15 * (1.0 + value):
            break
    return value


def _triangular(numbers, share):
    low, mode, high = numbers
    width, rise, fall = high - low, mode - low, high - mode
    if share * width < rise:
        return low + sqrt(share * width * rise)
    return high - sqrt((1.0 - share) * width * fall)


def _whole(pairs, share):
    steps, so_far = [], 0.0
    for _, chance in pairs:
        so_far += chance
        steps.append(so_far)
    for (value, _), step in zip(pairs, steps, strict=False):
        if share < step / steps[-1]:
            return value
    return pairs[-1][0]


def shuffled(count, name):
    """Return the places 0 to count - 1 in an order that the name decides."""
    seed = 1
    for sign in name:
        seed = (seed * MULTIPLIER + ord(sign)) % MODULUS
    seed = seed or 1
    places = list(range(count))
    for left in range(count - 1, 0, -1):
        seed = seed * MULTIPLIER % MODULUS
        other = seed % (left + 1)
        places[left], places[other] = places[other], places[left]
    return places


def draws(stated, count, name):
    """Return `count` draws of a stated quantity, shuffled by a name."""
    values = quantiles(stated, count)
    return [values[place] for place in shuffled(count, name)]

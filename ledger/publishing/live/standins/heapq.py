"""Stands in for heapq: a list whose least member is always the first to leave it."""

from __future__ import annotations


def heappush(heap, item):
    """Put an item in, moving it up past all that are greater."""
    heap.append(item)
    place = len(heap) - 1
    while place:
        above = (place - 1) >> 1
        if not item < heap[above]:
            break
        heap[place] = heap[above]
        place = above
    heap[place] = item


def heappop(heap):
    """Take the least item out; IndexError where there is none."""
    last = heap.pop()
    if not heap:
        return last
    least, place, size = heap[0], 0, len(heap)
    while True:
        below = 2 * place + 1
        if below >= size:
            break
        if below + 1 < size and heap[below + 1] < heap[below]:
            below += 1
        if not heap[below] < last:
            break
        heap[place] = heap[below]
        place = below
    heap[place] = last
    return least

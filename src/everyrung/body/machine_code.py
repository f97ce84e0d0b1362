"""Functions that numba turns into machine code at their first call on a machine, some seconds once, and keeps on disk.

Numba sees a change in the file of a function, not in the files of those that it calls: so what calls each other stands
in one file. Nothing here is `fastmath`: sums are added up in the order that is written.

A cached function is found by its name and its line, and its entry names the classes that it is called with. So a class
that moves to another module has to move the lines of the functions that take it, or an entry of before cannot be read.
"""

from collections.abc import Callable
from typing import Any, TypeVar, cast

from numba import njit  # type: ignore[import-untyped,unused-ignore]

F = TypeVar("F", bound=Callable[..., Any])


def machine_code(function: F) -> F:
    """The function as machine code. Two threads may run it at once; division by zero gives inf or nan, as in numpy.

    Everything that it is called with has one type: arrays, numbers, and named tuples of them.
    """
    return cast(F, njit(cache=True, nogil=True, error_model="numpy")(function))

"""A mapping that can not be changed, for the fields of frozen records."""

from __future__ import annotations

from typing import NoReturn, TypeVar

K = TypeVar("K")
V = TypeVar("V")


class FrozenDict(dict[K, V]):
    """A dict that refuses every change with a TypeError; `dict(it)` is a copy that takes them.

    Unlike a mapping proxy it can be pickled and copied, and `dataclasses.asdict` and `json.dumps` take it as a dict.

    >>> FrozenDict(north=1) | {"south": 2}, FrozenDict(north=1) == {"north": 1}
    ({'north': 1, 'south': 2}, True)
    """

    __slots__ = ()

    def _refuse(self, *_args: object, **_named: object) -> NoReturn:
        raise TypeError("this mapping can not be changed; dict(...) makes a copy that can")

    __setitem__ = __delitem__ = __ior__ = _refuse
    clear = pop = popitem = setdefault = update = _refuse

    def __reduce__(self) -> tuple[type[FrozenDict[K, V]], tuple[dict[K, V]]]:
        """How pickle and copy make it again: in one step, for its items can not be set one by one."""
        return type(self), (dict(self),)

"""The base of all models of what people write: frozen, nothing extra, places kept."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from pydantic import BaseModel, ConfigDict, ModelWrapValidatorHandler, PrivateAttr, model_validator

from wirecheck.design.tree import NOWHERE, Source, Table, key_place_of, place_of

if TYPE_CHECKING:
    from wirecheck.problem import Place


class Model(BaseModel):
    """A mapping of the file, validated.

    `==` compares places too; compare `model_dump()` where they do not matter.
    """

    model_config = ConfigDict(frozen=True, extra="forbid", populate_by_name=True)
    _tree: Table | None = PrivateAttr(default=None)

    @model_validator(mode="wrap")
    @classmethod
    def _keep_places(cls, data: Any, handler: ModelWrapValidatorHandler[Any]) -> Any:
        made = handler(data)
        if isinstance(data, Table):
            made._tree = data
        return made

    def place(self, *path: str | int) -> Place:
        """Where the value at `path` stands: place("from_"), place("expects", 3), place("coil", "volts").

        Without a path: the whole. A key that the file does not have gives what is around it.
        """
        return NOWHERE if self._tree is None else place_of(self._tree, path)

    def key_place(self, *path: str | int) -> Place:
        """Where the key at the end of `path` stands: key_place("devices", "K1")."""
        return NOWHERE if self._tree is None else key_place_of(self._tree, path)

    @property
    def source(self) -> Source:
        """The file that this was read from, with its text."""
        return Source(NOWHERE.file, "") if self._tree is None else self._tree.source

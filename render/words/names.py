"""How designations are printed on a sheet of one function: short inside it, in full across its border."""

from __future__ import annotations

from netdsl.model.plant import Plant


class Names:
    """Printed designations for the sheets of function `scope` ("" for the common part).

    Inside the function `=RP1-T1` is printed `-T1`, unless the common part or a function around it has a `-T1` too:
    a designation without a function then always means one thing.
    """

    def __init__(self, plant: Plant, scope: str) -> None:
        self._plant = plant
        self.scope = scope

    def of(self, identity: str) -> str:
        """`identity` of a device, cable or place as printed."""
        if not self.scope or not identity.startswith(self.scope + "-"):
            return identity
        product = identity[len(self.scope) :]
        return identity if self._hidden(product) else product

    def end(self, device: str, terminal: str) -> str:
        """A terminal as printed: `-T1:U`."""
        return f"{self.of(device)}:{terminal}"

    def _hidden(self, product: str) -> bool:
        scope = self.scope
        while scope:
            above = self._plant.functions[scope].parent if scope in self._plant.functions else None
            scope = above or ""
            if scope + product in self._plant.devices or scope + product in self._plant.cables:
                return True
        return False

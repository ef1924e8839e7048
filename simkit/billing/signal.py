"""What a kilowatt-hour costs and earns in each step: the record that a controller is handed."""

from __future__ import annotations

from dataclasses import dataclass

from simkit.arrays import Floats


@dataclass(frozen=True, eq=False)
class PriceSignal:
    """What a kilowatt-hour costs and earns in each step, tax included.

    Parameters
    ----------
    import_per_kwh
        Price of an imported kWh, (steps,) [currency/kWh].
    export_per_kwh
        What an exported kWh earns, (steps,) [currency/kWh].
    notes
        What was assumed.
    sells_grid_energy
        Whether the contract lets a battery sell what it was charged with from the grid.
    """

    import_per_kwh: Floats
    export_per_kwh: Floats
    notes: tuple[str, ...] = ()
    sells_grid_energy: bool = False

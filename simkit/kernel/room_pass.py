"""Rooms, series of flow and outdoor temperature in; each room's flow needed, steady temperature, most heat, out.

`rooms` has the columns needed [°C], loss, exchange [kW/K], rated [kW], exponent and per water [K/kW].
"""

from __future__ import annotations

import numpy as np

from simkit.kernel.compiled import in_one_pass
from simkit.physics.rooms import room_flow_c, room_load_kw, settled_kw, steady_room_c

ROUNDS = 400  # the middle of the home follows the rooms; usual rooms are there after twenty
CLOSE_K = 1e-7


@in_one_pass
def room_flows_c(outdoor_c: np.ndarray, rooms: np.ndarray, middle_c: float) -> np.ndarray:
    """Flow each room needs to be held at its needed temperature, (rooms, n) [°C]."""
    flow = np.empty((len(rooms), len(outdoor_c)))
    for i in range(len(rooms)):
        needed = rooms[i, 0]
        for k in range(len(outdoor_c)):
            load = room_load_kw(needed, outdoor_c[k], middle_c, rooms[i, 1], rooms[i, 2])
            flow[i, k] = room_flow_c(load, rooms[i, 3], rooms[i, 4], needed, rooms[i, 5])
    return flow


@in_one_pass
def steady_rooms_c(flow_c: np.ndarray, outdoor_c: np.ndarray, rooms: np.ndarray) -> np.ndarray:
    """Temperature at which each room settles at these flows and outdoor temperatures, (rooms, n) [°C]."""
    count = len(rooms)
    found = np.empty((count, len(outdoor_c)))
    weights = 1e-12
    for i in range(count):
        weights += rooms[i, 2]
    for k in range(len(outdoor_c)):
        for i in range(count):
            found[i, k] = rooms[i, 0]
        for _ in range(ROUNDS):
            middle = 0.0
            for i in range(count):
                middle += rooms[i, 2] * found[i, k] / weights
            moved = 0.0
            for i in range(count):
                room = steady_room_c(
                    flow_c[k], outdoor_c[k], middle, rooms[i, 0], rooms[i, 1], rooms[i, 2], rooms[i, 3], rooms[i, 4],
                    rooms[i, 5],
                )  # fmt: skip
                moved = max(moved, abs(room - found[i, k]))
                found[i, k] = room
            if moved < CLOSE_K:
                break
    return found


@in_one_pass
def most_heat_kw(flow_c: np.ndarray, rooms: np.ndarray) -> np.ndarray:
    """Most heat each room's emitter gives at these flows while the room is as warm as needed, (rooms, n) [kW]."""
    found = np.empty((len(rooms), len(flow_c)))
    for i in range(len(rooms)):
        for k in range(len(flow_c)):
            found[i, k] = settled_kw(flow_c[k] - rooms[i, 0], 0.5 * rooms[i, 5], rooms[i, 3], rooms[i, 4])
    return found

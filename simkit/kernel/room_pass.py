"""Rooms, series of flow and outdoor temperature in; each room's flow needed, steady temperature, most heat, out."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from typing import Any

import numpy as np

from simkit.kernel.compiled import compiled
from simkit.physics.rooms import room_flow_c, room_load_kw, settled_kw, steady_room_c

ROUNDS = 400  # the middle of the home follows the rooms; usual rooms are there after twenty
CLOSE_K = 1e-7


@cache
def _flow_pass() -> Callable[..., Any]:
    def run_room_flows(outdoor: Any, rooms: Any, middle_c: float, flow: Any) -> None:
        for i in range(rooms.shape[0]):
            needed = rooms[i, 0]
            for k in range(len(outdoor)):
                load = room_load_kw(needed, outdoor[k], middle_c, rooms[i, 1], rooms[i, 2])
                flow[i, k] = room_flow_c(load, rooms[i, 3], rooms[i, 4], needed, rooms[i, 5])

    return compiled(run_room_flows)


@cache
def _steady_pass() -> Callable[..., Any]:
    def run_steady_rooms(outdoor: Any, flow: Any, rooms: Any, found: Any) -> None:
        count = rooms.shape[0]
        weights = 1e-12
        for i in range(count):
            weights += rooms[i, 2]
        for k in range(len(outdoor)):
            for i in range(count):
                found[i, k] = rooms[i, 0]
            for _ in range(ROUNDS):
                middle = 0.0
                for i in range(count):
                    middle += rooms[i, 2] * found[i, k] / weights
                moved = 0.0
                for i in range(count):
                    room = steady_room_c(
                        flow[k], outdoor[k], middle, rooms[i, 0], rooms[i, 1], rooms[i, 2], rooms[i, 3], rooms[i, 4],
                        rooms[i, 5],
                    )  # fmt: skip
                    moved = max(moved, abs(room - found[i, k]))
                    found[i, k] = room
                if moved < CLOSE_K:
                    break

    return compiled(run_steady_rooms)


@cache
def _most_pass() -> Callable[..., Any]:
    def run_most_heat(flow: Any, rooms: Any, found: Any) -> None:
        for i in range(rooms.shape[0]):
            for k in range(len(flow)):
                found[i, k] = settled_kw(flow[k] - rooms[i, 0], 0.5 * rooms[i, 5], rooms[i, 3], rooms[i, 4])

    return compiled(run_most_heat)


def _series(values: np.ndarray) -> np.ndarray:
    return np.ascontiguousarray(values, dtype=np.float64)


def room_flows_c(outdoor_c: np.ndarray, rooms: np.ndarray, middle_c: float) -> np.ndarray:
    """Flow each room needs to be held at its needed temperature, (rooms, n) [°C].

    `rooms` has the columns needed [°C], loss, exchange [kW/K], rated [kW], exponent and per water [K/kW].
    """
    flow = np.empty((len(rooms), len(outdoor_c)))
    _flow_pass()(_series(outdoor_c), rooms, middle_c, flow)
    return flow


def steady_rooms_c(flow_c: np.ndarray, outdoor_c: np.ndarray, rooms: np.ndarray) -> np.ndarray:
    """Temperature at which each room settles at these flows and outdoor temperatures, (rooms, n) [°C]."""
    found = np.empty((len(rooms), len(outdoor_c)))
    _steady_pass()(_series(outdoor_c), _series(flow_c), rooms, found)
    return found


def most_heat_kw(flow_c: np.ndarray, rooms: np.ndarray) -> np.ndarray:
    """Most heat each room's emitter gives at these flows while the room is as warm as needed, (rooms, n) [kW]."""
    found = np.empty((len(rooms), len(flow_c)))
    _most_pass()(_series(flow_c), rooms, found)
    return found

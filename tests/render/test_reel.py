"""Several overlays on one timeline."""

from __future__ import annotations

import numpy as np

from overlays.draw.canvas import draw_alone
from overlays.draw.patch import Layer, Patch
from overlays.render.reel import Reel, Shot


class Block:
    """A scene that shows one grey square from its first frame on."""

    width = height = 8

    def __init__(self, grey: int, left: int, frames: int = 3) -> None:
        pixels = np.full((4, 4, 4), 255, np.uint8)
        pixels[..., :3] = grey
        self._layers = (Layer(Patch(pixels), left, 0),)
        self.frames = frames

    def layers(self, frame: int) -> tuple[Layer, ...]:
        assert 0 <= frame < self.frames
        return self._layers


def test_shots_stand_where_and_while_they_should() -> None:
    """A shot is seen from its first frame for its length, and nothing before or after."""
    reel = Reel(8, 8, 10, [Shot(2, 3, lambda: Block(40, 0)), Shot(4, 3, lambda: Block(90, 2))])
    seen = [sorted(set(draw_alone(reel, n)[..., 0].ravel()) - {0}) for n in range(10)]
    assert seen == [[], [], [40], [40], [40, 90], [90], [90], [], [], []]


def test_the_later_shot_lies_in_front() -> None:
    """Where two overlap, the one that begins later covers the other."""
    reel = Reel(8, 8, 10, [Shot(0, 5, lambda: Block(40, 0, 5)), Shot(1, 3, lambda: Block(90, 2))])
    assert draw_alone(reel, 1)[0, :6, 0].tolist() == [40, 40, 90, 90, 90, 90]


def test_a_shot_is_laid_out_when_it_comes_and_let_go_when_it_has_been() -> None:
    """A long episode holds only the overlays on screen, and each is laid out once a showing."""
    made: list[int] = []

    def lay_out() -> Block:
        made.append(1)
        return Block(40, 0)

    shot = Shot(2, 3, lay_out)
    for frame in range(8):
        shot.layers(frame)
    assert len(made) == 1
    assert shot._scene is None

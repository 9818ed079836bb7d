"""The scale card with its strap or lanyard, and the leg tag."""

import numpy as np

from tests.scenes.physical.geometry import CardFrame, card_frame, strut_to_world, tag_frame
from tests.scenes.physical.meshes import Array, Mesh, beam, grid, lathe
from tests.scenes.physical.running_gear import leaf_line
from tests.scenes.physical.scene import StrutScene
from tests.scenes.physical.stage import Stage, matt
from tests.scenes.physical.textures import TAG_CARD_MM, Textures

THICKNESS_MM = 1.5
Z = np.array([0.0, 0.0, 1.0])


def sheet(frame: CardFrame, width: float, height: float, behind: float = 0.0) -> Mesh:
    """The card's face as a mesh whose texture coordinates are card millimetres over its size."""
    columns, rows = 5, 97
    y, x = np.meshgrid(np.linspace(0, height, rows), np.linspace(0, width, columns), indexing="ij")
    points = frame.points(np.stack([x, y], -1).reshape(-1, 2), behind)
    return grid(points.reshape(rows, columns, 3))


def add_card(stage: Stage, scene: StrutScene, textures: Textures) -> None:
    """Printed face, white back, edges, and what it hangs from."""
    if not scene.card.present:
        return
    width, height = textures.card_size_mm
    frame = card_frame(scene, width, height)
    stage.mesh(sheet(frame, width, height), matt(textures.card[..., None]), world=True)
    stage.mesh(sheet(frame, width, height, THICKNESS_MM), matt(0.75), world=True)
    y = np.linspace(0, height, 97)
    for x in (0.0, width):
        edge = np.stack([frame.points(np.column_stack([np.full(97, x), y]), b) for b in (0.0, THICKNESS_MM)])
        stage.mesh(grid(edge), matt(0.75), world=True)
    for end in (0.0, height):
        across = np.array([[0.0, end], [width, end]])
        stage.mesh(
            grid(np.stack([frame.points(across, b) for b in (0.0, THICKNESS_MM)])), matt(0.75), world=True
        )
    _add_holder(stage, scene, frame, width)


def _add_holder(stage: Stage, scene: StrutScene, frame: CardFrame, width: float) -> None:
    """A rubber strap round the painted cylinder; an arm or, for a low card, a lanyard holds the card."""
    leg, rubber = scene.leg, matt((0.05, 0.05, 0.055))
    radius = leg.cylinder_mm / 2
    lean = strut_to_world(scene)
    grip = lean.T @ frame.points(np.array([[width / 2, 7.0]]), THICKNESS_MM + 3)[0]
    if leg.form == "spring":
        stage.rod(grip, leaf_line(0.3) + np.array([-25.0, -30.0, 0.0]), 1.0, matt((0.35, 0.3, 0.05)))
        return
    height = max(grip[2], leg.collar_height_mm + 16)
    stage.meshes(
        lathe(
            [(radius, height - 8), (radius + 2, height - 8), (radius + 2, height + 8), (radius, height + 8)]
        ),
        rubber,
        smooth=True,
    )
    toward = grip * [1, 1, 0] / np.linalg.norm(grip[:2])
    root = (radius - 1) * toward + height * Z
    if abs(grip[2] - height) < 1:
        stage.mesh(beam(root, grip + 6 * toward, 10, 6, Z), rubber)
        pad = beam(grip + 5 * Z, grip - 9 * Z, 26, 6, lean.T @ frame.right)
        stage.mesh(pad, rubber)
    else:
        for hand in (-6.0, 6.0):
            shift = lean.T @ frame.right * hand
            stage.rod(root + 4 * toward + 0.2 * shift, grip + shift + 5 * Z, 0.8, matt((0.35, 0.3, 0.05)))


def add_tag(stage: Stage, scene: StrutScene, textures: Textures) -> None:
    """The leg tag on its backing plate, hung against the painted cylinder."""
    if scene.tag.tag_id is None:
        return
    frame = tag_frame(scene, TAG_CARD_MM)
    face = textures.tags[scene.tag.tag_id]
    stage.mesh(sheet(frame, TAG_CARD_MM, TAG_CARD_MM), matt(face[..., None]), world=True)
    stage.mesh(sheet(frame, TAG_CARD_MM, TAG_CARD_MM, 1.2), matt(0.7), world=True)
    radius, lean = scene.leg.cylinder_mm / 2, strut_to_world(scene)
    knot = lean.T @ frame.points(np.array([[TAG_CARD_MM / 2, 1.0]]), 1.3)[0]
    cord = matt((0.5, 0.12, 0.02))
    height = scene.tag.height_mm + TAG_CARD_MM / 2 + 22
    for hand in (-1, 1):
        stage.rod(knot, _on_cylinder(knot, radius + 1.0, height, hand * 14), 0.7, cord)
    stage.meshes(lathe([(radius, height - 1), (radius + 1.4, height), (radius, height + 1)]), cord)


def _on_cylinder(near: Array, radius: float, height: float, shift: float) -> Array:
    angle = np.arctan2(near[1], near[0]) + shift / radius
    return np.array([radius * np.cos(angle), radius * np.sin(angle), height])

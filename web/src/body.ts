// One part as it is drawn: its skin and edges, and the filling of its section.
import {
  AlwaysStencilFunc, BackSide, type BufferGeometry, Color, DecrementWrapStencilOp, DoubleSide, EdgesGeometry, FrontSide, Group, IncrementWrapStencilOp,
  LineBasicMaterial, LineSegments, Mesh, MeshBasicMaterial, MeshLambertMaterial, NotEqualStencilFunc, type Plane, PlaneGeometry, ReplaceStencilOp, Vector3,
} from "three";
import { acceleratedRaycast } from "three-mesh-bvh";
import { hatch } from "./shape";

/** One part on the stage. */
export interface Body {
  group: Group;
  skin: Mesh<BufferGeometry, MeshLambertMaterial>;
  edges: LineSegments<EdgesGeometry, LineBasicMaterial>;
  cap: Mesh<PlaneGeometry, MeshBasicMaterial>;
  stencil: Group;
  centre: Vector3; // as drawn
  whole: boolean; // not cut
  gone: boolean; // not in the box
}

/** body makes part i; plane is what cuts it. */
export function body(i: number, shape: BufferGeometry, color: string, plane: Plane): Body {
  const paint = new Color(color);
  const skin = new Mesh(shape, new MeshLambertMaterial({ color: paint, flatShading: true, side: DoubleSide }));
  skin.raycast = acceleratedRaycast;
  skin.userData["part"] = i;
  const edges = new LineSegments(new EdgesGeometry(shape, 28), new LineBasicMaterial({ color: 0x14171b, transparent: true, opacity: 0.55 }));
  const group = new Group();
  group.add(skin, edges);
  // The section: where the cut runs inside the part, its back faces outnumber its front faces.
  const stencil = new Group();
  for (const [side, op] of [[BackSide, IncrementWrapStencilOp], [FrontSide, DecrementWrapStencilOp]] as const) {
    const m = new Mesh(shape, new MeshBasicMaterial({
      side, depthWrite: false, depthTest: false, colorWrite: false, stencilWrite: true, stencilFunc: AlwaysStencilFunc,
      stencilFail: op, stencilZFail: op, stencilZPass: op, clippingPlanes: [plane],
    }));
    m.renderOrder = 10 + i * 2;
    m.raycast = () => undefined;
    stencil.add(m);
  }
  const cap = new Mesh(new PlaneGeometry(1, 1), new MeshBasicMaterial({
    map: hatch(color, i), side: DoubleSide, stencilWrite: true, stencilRef: 0, stencilFunc: NotEqualStencilFunc,
    stencilFail: ReplaceStencilOp, stencilZFail: ReplaceStencilOp, stencilZPass: ReplaceStencilOp,
  }));
  cap.renderOrder = 11 + i * 2;
  cap.onAfterRender = (r) => r.clearStencil();
  cap.raycast = () => undefined;
  shape.computeBoundingBox();
  return { group, skin, edges, cap, stencil, centre: shape.boundingBox?.getCenter(new Vector3()) ?? new Vector3(), whole: false, gone: false };
}

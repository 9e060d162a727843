// One part as it is drawn: its skin and edges, and the filling of its section.
import {
  AlwaysStencilFunc, BufferGeometry, Color, DoubleSide, Group, InvertStencilOp, LineBasicMaterial, LineSegments, type Material, Mesh, MeshBasicMaterial, MeshLambertMaterial,
  NotEqualStencilFunc, PlaneGeometry, ReplaceStencilOp, Vector3,
} from "three";
import { Faces } from "./faces";
import { Fan } from "./section";
import { cast, hatch } from "./shape";

/** One part on the stage. */
export interface Body {
  group: Group;
  skin: Mesh<BufferGeometry, MeshLambertMaterial>;
  edges: LineSegments<BufferGeometry, LineBasicMaterial>;
  cap: Mesh<PlaneGeometry, MeshBasicMaterial>;
  stencil: Mesh;
  shape: BufferGeometry; // all of it, of which skin and edges draw what may be seen
  faces: Faces;
  fan: Fan; // which the stencil draws
  centre: Vector3; // as drawn
  whole: boolean; // not cut
  gone: boolean; // not in the box
  open: boolean; // its faces close no solid
}

/** body makes part i. */
export function body(i: number, shape: BufferGeometry, color: string, open: boolean): Body {
  const paint = new Color(color);
  const faces = new Faces(shape);
  const skin = new Mesh(faces.skin, new MeshLambertMaterial({ color: paint, flatShading: true, side: DoubleSide }));
  skin.raycast = cast;
  Object.assign(skin.userData, { part: i, shape });
  const lines = new LineSegments(faces.edges, new LineBasicMaterial({ color: 0x14171b, transparent: true, opacity: 0.55 }));
  const group = new Group();
  group.add(skin, lines);
  // what of the plane lies within the part: where an odd number of the fan's triangles covers it
  const stencil = new Mesh(new BufferGeometry(), new MeshBasicMaterial({
    side: DoubleSide, depthWrite: false, depthTest: false, colorWrite: false, stencilWrite: true, stencilFunc: AlwaysStencilFunc,
    stencilFail: InvertStencilOp, stencilZFail: InvertStencilOp, stencilZPass: InvertStencilOp,
  }));
  stencil.frustumCulled = false; // what it spans changes
  stencil.renderOrder = 10 + i * 2;
  stencil.raycast = () => undefined;
  const cap = new Mesh(new PlaneGeometry(1, 1), new MeshBasicMaterial({
    map: hatch(color, i), side: DoubleSide, stencilWrite: true, stencilRef: 0, stencilFunc: NotEqualStencilFunc,
    stencilFail: ReplaceStencilOp, stencilZFail: ReplaceStencilOp, stencilZPass: ReplaceStencilOp,
  }));
  cap.renderOrder = 11 + i * 2;
  cap.raycast = () => undefined;
  shape.computeBoundingBox();
  return { group, shape, faces, skin, edges: lines, cap, stencil, fan: new Fan(stencil), centre: shape.boundingBox?.getCenter(new Vector3()) ?? new Vector3(), whole: false, gone: false, open };
}

/** dispose gives back what a part was drawn with; its shape may serve another. */
export function dispose(b: Body): void {
  b.faces.dispose();
  b.cap.material.map?.dispose();
  for (const m of [b.cap, b.stencil]) m.geometry.dispose();
  for (const m of [b.skin, b.edges, b.cap, b.stencil]) (m.material as Material).dispose();
}

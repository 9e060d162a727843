// What the stage is drawn with: motions, meshes as the program sends them, marks and hatching.
import { BufferAttribute, BufferGeometry, CanvasTexture, DoubleSide, Matrix4, type Mesh, MeshBasicMaterial, RepeatWrapping, Sprite, SpriteMaterial, Vector3 } from "three";
import { acceleratedRaycast, computeBoundsTree } from "three-mesh-bvh";
import type { Travel } from "./wire";

/** motion is the matrix of one travel at a value. */
export function motion(k: Travel, value: number): Matrix4 {
  const dir = new Vector3(...k.dir);
  if (k.kind === "slide") return new Matrix4().setPosition(dir.multiplyScalar(value));
  const p = new Vector3(...k.point_mm);
  const m = new Matrix4().setPosition(p.clone().addScaledVector(dir, (k.lead_mm * value) / 360));
  return m.multiply(new Matrix4().makeRotationAxis(dir, (value * Math.PI) / 180)).multiply(new Matrix4().setPosition(p.negate()));
}

/** ring is a mark that is seen through everything, light on dark so that it shows on any colour. */
export function ring(): Sprite {
  const c = document.createElement("canvas");
  c.width = c.height = 96;
  const g = c.getContext("2d");
  for (const [color, width] of [["#14171b", 14], ["#fffdf7", 6]] as const) {
    if (!g) break;
    g.strokeStyle = color;
    g.lineWidth = width;
    g.beginPath();
    g.arc(48, 48, 36, 0, 2 * Math.PI);
    g.stroke();
  }
  const s = new Sprite(new SpriteMaterial({ map: new CanvasTexture(c), depthTest: false, depthWrite: false }));
  s.renderOrder = 1000;
  s.visible = false;
  return s;
}

/** hatch fills section faces: the part's colour with lines, each part at its own slant. */
export function hatch(color: string, i: number): CanvasTexture {
  const c = document.createElement("canvas");
  c.width = c.height = 64;
  const g = c.getContext("2d");
  if (g) {
    g.fillStyle = color;
    g.fillRect(0, 0, 64, 64);
    g.strokeStyle = "rgba(10,12,14,0.75)";
    g.lineWidth = 5;
    for (let k = -64; k <= 64; k += 32) {
      g.beginPath();
      if (i % 2 === 0) {
        g.moveTo(k, 0);
        g.lineTo(k + 64, 64);
      } else {
        g.moveTo(k + 64, 0);
        g.lineTo(k, 64);
      }
      g.stroke();
    }
  }
  const t = new CanvasTexture(c);
  t.wrapS = t.wrapT = RepeatWrapping;
  return t;
}

/** unpack reads a mesh as the program sends it. */
export function unpack(raw: ArrayBuffer): BufferGeometry {
  const [nv = 0, nt = 0] = new Uint32Array(raw, 0, 2);
  const g = new BufferGeometry();
  g.setAttribute("position", new BufferAttribute(new Float32Array(raw, 8, 3 * nv), 3));
  g.setIndex(new BufferAttribute(new Uint32Array(raw, 8 + 12 * nv, 3 * nt), 1));
  return g;
}

/** soft is the cosine of the angle, 28 degrees, up to which two faces meet without an edge being drawn. */
const soft = Math.cos((28 * Math.PI) / 180);

/** Lines are the edges of a shape: two points of it each, and the two faces that meet there, one of them twice where it meets none. */
export interface Lines {
  ends: number[];
  sides: number[];
}

/** lines are the edges along which faces of a shape meet at an angle; made once for a shape. */
export function lines(g: BufferGeometry): Lines {
  const made = g.userData["lines"] as Lines | undefined;
  if (made) return made;
  const at = (g.getAttribute("position") as BufferAttribute | undefined)?.array ?? new Float32Array(0);
  const index = g.getIndex()?.array ?? new Uint32Array(0);
  const nv = at.length / 3;
  const normals = new Float32Array(index.length);
  const open = new Map<number, number>(); // the faces whose edge, by its two ends, has met no other yet
  const out: Lines = { ends: [], sides: [] };
  const c = (i: number, k: number) => at[3 * (index[i] ?? 0) + k] ?? 0;
  for (let t = 0; t < index.length; t += 3) {
    const u = [0, 1, 2].map((k) => c(t + 1, k) - c(t, k)) as [number, number, number];
    const v = [0, 1, 2].map((k) => c(t + 2, k) - c(t, k)) as [number, number, number];
    const n = [u[1] * v[2] - u[2] * v[1], u[2] * v[0] - u[0] * v[2], u[0] * v[1] - u[1] * v[0]] as const;
    const long = Math.hypot(...n);
    if (long === 0) continue; // no face
    for (let k = 0; k < 3; k++) normals[t + k] = (n[k] ?? 0) / long;
    for (let k = 0; k < 3; k++) {
      const a = index[t + k] ?? 0;
      const b = index[t + ((k + 1) % 3)] ?? 0;
      const key = a < b ? a * nv + b : b * nv + a;
      const other = open.get(key);
      if (other === undefined) {
        open.set(key, t);
        continue;
      }
      open.delete(key);
      const dot = [0, 1, 2].reduce((s, j) => s + (normals[t + j] ?? 0) * (normals[other + j] ?? 0), 0);
      if (dot > soft) continue;
      out.ends.push(a, b);
      out.sides.push(t / 3, other / 3);
    }
  }
  for (const [key, t] of open) {
    out.ends.push(Math.floor(key / nv), key % nv);
    out.sides.push(t / 3, t / 3);
  }
  g.userData["lines"] = out;
  return out;
}

const both = new MeshBasicMaterial({ side: DoubleSide });

/** cast meets a ray with all of the shape of a part, whose tree is made when it is first asked. */
export function cast(this: Mesh, ...by: Parameters<typeof acceleratedRaycast>): void {
  const g = this.userData["shape"] as BufferGeometry;
  if (!g.boundsTree && g.getIndex() && (g.getIndex()?.count ?? 0) > 0) {
    g.computeBoundsTree = computeBoundsTree;
    g.computeBoundsTree({ indirect: true }); // the order of the faces stays
  }
  // from within, too: where it is cut the ray comes in through the filling
  acceleratedRaycast.apply(Object.create(this, { material: { value: both }, geometry: { value: g } }) as Mesh, by);
}


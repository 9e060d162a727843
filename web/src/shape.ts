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

/** after is the next corner of the same face. */
const after = (e: number): number => (e % 3 === 2 ? e - 2 : e + 1);

/** flat are the normals of faces; not numbers where a face has no area. */
export function flat(at: ArrayLike<number>, index: ArrayLike<number>): Float32Array {
  const out = new Float32Array(index.length);
  for (let t = 0; t < index.length; t += 3) {
    const [a, b, c] = [3 * (index[t] ?? 0), 3 * (index[t + 1] ?? 0), 3 * (index[t + 2] ?? 0)];
    const [px, py, pz] = [at[a] ?? 0, at[a + 1] ?? 0, at[a + 2] ?? 0];
    const [ux, uy, uz] = [(at[b] ?? 0) - px, (at[b + 1] ?? 0) - py, (at[b + 2] ?? 0) - pz];
    const [vx, vy, vz] = [(at[c] ?? 0) - px, (at[c + 1] ?? 0) - py, (at[c + 2] ?? 0) - pz];
    const [nx, ny, nz] = [uy * vz - uz * vy, uz * vx - ux * vz, ux * vy - uy * vx];
    const long = Math.sqrt(nx * nx + ny * ny + nz * nz);
    out[t] = nx / long;
    out[t + 1] = ny / long;
    out[t + 2] = nz / long;
  }
  return out;
}

/** lines are the edges along which faces of a shape meet at an angle; made once for a shape. */
export function lines(g: BufferGeometry): Lines {
  const made = g.userData["lines"] as Lines | undefined;
  if (made) return made;
  const at = (g.getAttribute("position") as BufferAttribute | undefined)?.array ?? new Float32Array(0);
  const index = g.getIndex()?.array ?? new Uint32Array(0);
  const normals = flat(at, index);
  const out: Lines = { ends: [], sides: [] };
  // edges that have met no other face yet, hashed by their two ends: Maps take several times as long
  const size = 1 << Math.ceil(Math.log2(index.length * 2 + 16));
  const face = new Int32Array(size).fill(-1); // a corner of the first face, from which the edge goes to the next
  const met = new Uint8Array(size);
  const find = (a: number, b: number) => {
    let h = (Math.imul(a, 0x9e3779b1) ^ Math.imul(b, 0x85ebca6b)) >>> 0;
    for (h = (h ^ (h >>> 15)) & (size - 1); ; h = (h + 1) & (size - 1)) {
      const e = face[h] ?? -1;
      if (e === -1) return h;
      const [p, q] = [index[e] ?? 0, index[after(e)] ?? 0];
      if (!met[h] && ((p === a && q === b) || (p === b && q === a))) return h;
    }
  };
  for (let e = 0; e < index.length; e++) {
    const t = e - (e % 3);
    if (Number.isNaN(normals[t])) continue; // no face
    const [a, b] = [index[e] ?? 0, index[after(e)] ?? 0];
    const h = find(Math.min(a, b), Math.max(a, b));
    const other = face[h] ?? -1;
    if (other === -1) {
      face[h] = e;
      continue;
    }
    met[h] = 1;
    const o = other - (other % 3);
    const dot = (normals[t] ?? 0) * (normals[o] ?? 0) + (normals[t + 1] ?? 0) * (normals[o + 1] ?? 0) + (normals[t + 2] ?? 0) * (normals[o + 2] ?? 0);
    if (dot > soft) continue;
    out.ends.push(a, b);
    out.sides.push(t / 3, o / 3);
  }
  for (let h = 0; h < size; h++) {
    const e = face[h] ?? -1;
    if (e < 0 || met[h]) continue;
    out.ends.push(index[e] ?? 0, index[after(e)] ?? 0);
    out.sides.push(Math.floor(e / 3), Math.floor(e / 3));
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


// The section of a part by the plane that cuts it, from its triangles: what is filled.
import { BufferAttribute, type BufferGeometry, DynamicDrawUsage, type Matrix4, type Mesh, Plane, Vector3 } from "three";

/**
 * Fan lays triangles between the lines in which a plane meets a shape and a point amid them: a place of the plane lies
 * within a closed shape where an odd number of them covers it.
 */
export class Fan {
  private at = new Float32Array(0);
  private from: BufferGeometry | null = null;
  private readonly by = new Plane();
  private heights = new Float32Array(0);
  readonly middle = new Vector3(); // of what the lines span, as the shape is drawn
  radius = 0; // of a ball about the middle that holds it; 0 where the plane misses the shape

  constructor(private readonly mesh: Mesh) {}

  /** lay cuts a shape that stands as place says by a plane. */
  lay(shape: BufferGeometry, place: Matrix4, plane: Plane): void {
    const local = plane.clone().applyMatrix4(place.clone().invert());
    if (shape === this.from && local.normal.distanceTo(this.by.normal) < 1e-12 && Math.abs(local.constant - this.by.constant) < 1e-9) return;
    this.from = shape;
    this.by.copy(local);
    this.put(this.lines(shape, local));
  }

  /** lines are the ends of the lines in which the plane meets the faces. */
  private lines(shape: BufferGeometry, plane: Plane): number[] {
    const at = (shape.getAttribute("position") as BufferAttribute | undefined)?.array ?? [];
    const index = shape.getIndex()?.array ?? [];
    const n = at.length / 3;
    if (this.heights.length < n) this.heights = new Float32Array(n);
    const h = this.heights;
    const { x, y, z } = plane.normal;
    for (let i = 0; i < n; i++) h[i] = x * (at[3 * i] ?? 0) + y * (at[3 * i + 1] ?? 0) + z * (at[3 * i + 2] ?? 0) + plane.constant;
    const out: number[] = [];
    // two faces meet in an edge: both find the same point on it
    const cross = (a: number, b: number) => {
      const [p, q] = a < b ? [a, b] : [b, a];
      const f = (h[p] ?? 0) / ((h[p] ?? 0) - (h[q] ?? 0));
      for (let k = 0; k < 3; k++) out.push((at[3 * p + k] ?? 0) + f * ((at[3 * q + k] ?? 0) - (at[3 * p + k] ?? 0)));
    };
    for (let t = 0; t < index.length; t += 3) {
      const a = index[t] ?? 0;
      const b = index[t + 1] ?? 0;
      const c = index[t + 2] ?? 0;
      const [i, j, k] = [(h[a] ?? 0) >= 0, (h[b] ?? 0) >= 0, (h[c] ?? 0) >= 0];
      if (i === j && j === k) continue;
      if (i !== j) cross(a, b);
      if (j !== k) cross(b, c);
      if (k !== i) cross(c, a);
    }
    return out;
  }

  private put(lines: number[]): void {
    const lo = new Vector3(Infinity, Infinity, Infinity);
    const hi = lo.clone().negate();
    const p = new Vector3();
    for (let i = 0; i < lines.length; i += 3) {
      p.set(lines[i] ?? 0, lines[i + 1] ?? 0, lines[i + 2] ?? 0);
      lo.min(p);
      hi.max(p);
    }
    const count = lines.length / 2; // points of the triangles: three for two ends
    this.radius = count > 0 ? lo.distanceTo(hi) / 2 : 0;
    if (count > 0) this.middle.addVectors(lo, hi).multiplyScalar(0.5);
    const g = this.mesh.geometry;
    if (this.at.length < 3 * count) {
      this.at = new Float32Array(6 * count);
      g.dispose();
      g.setAttribute("position", new BufferAttribute(this.at, 3).setUsage(DynamicDrawUsage));
    }
    const m = this.middle;
    for (let i = 0, o = 0; i < lines.length; i += 6) {
      this.at[o++] = m.x;
      this.at[o++] = m.y;
      this.at[o++] = m.z;
      for (let k = 0; k < 6; k++) this.at[o++] = lines[i + k] ?? 0;
    }
    const a = g.getAttribute("position");
    if (a) a.needsUpdate = true;
    g.setDrawRange(0, count);
  }
}

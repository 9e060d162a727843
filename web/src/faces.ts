// Of a shape only what may be seen is drawn: drawing by software costs by the triangle, and
// of a closed solid the half that looks away from the eye is hidden by the other half.
import { BufferAttribute, BufferGeometry, DynamicDrawUsage, Plane, Vector3 } from "three";
import { flat, type Lines, lines } from "./shape";

/** edgeOn is how far behind a face the eye may be for the face to be drawn all the same, mm: more than rounding, less than shows. */
const edgeOn = 1e-3;

/** Faces picks the faces and edges of a shape to be drawn. */
export class Faces {
  readonly skin: BufferGeometry;
  readonly edges: BufferGeometry;
  private readonly planes: Float32Array; // of each face: its normal, and its distance along it
  private readonly left: Uint8Array; // of each face: 1 if the cut leaves any of it
  private readonly seen: Uint8Array;
  private readonly lines: Lines;
  private readonly eye = new Vector3(NaN, NaN, NaN);
  private readonly cut = new Plane(new Vector3(NaN, NaN, NaN), NaN);
  private all = false;

  constructor(private readonly shape: BufferGeometry) {
    const position = shape.getAttribute("position") as BufferAttribute | undefined;
    const index = shape.getIndex()?.array ?? new Uint32Array(0);
    this.lines = lines(shape);
    this.planes = planes(shape);
    this.left = new Uint8Array(index.length / 3);
    this.seen = new Uint8Array(index.length / 3);
    const short = (position?.count ?? 0) < 1 << 16;
    const made = (n: number) => {
      const g = new BufferGeometry();
      if (position) g.setAttribute("position", position);
      g.setIndex(new BufferAttribute(short ? new Uint16Array(n) : new Uint32Array(n), 1).setUsage(DynamicDrawUsage));
      g.boundingSphere = shape.boundingSphere;
      return g;
    };
    if (!shape.boundingSphere) shape.computeBoundingSphere();
    this.skin = made(index.length);
    this.edges = made(this.lines.ends.length);
  }

  /**
   * look picks what an eye may see where the negative side of a plane is cut away, both as the shape is drawn; all of
   * it where faces are seen from behind, too.
   */
  look(eye: Vector3, cut: Plane | null, all: boolean): void {
    const by = cut ?? none;
    const other = !by.equals(this.cut);
    if (!other && all === this.all && (all || eye.distanceToSquared(this.eye) < 1e-12)) return;
    if (other) this.leave(by);
    this.cut.copy(by);
    this.eye.copy(eye);
    this.all = all;
    this.pick(eye, all);
  }

  /** leave finds the faces of which something is left. */
  private leave(plane: Plane): void {
    const at = this.shape.getAttribute("position")?.array ?? [];
    const index = this.shape.getIndex()?.array ?? [];
    const { x, y, z } = plane.normal;
    const within = (i: number) => x * (at[3 * i] ?? 0) + y * (at[3 * i + 1] ?? 0) + z * (at[3 * i + 2] ?? 0) + plane.constant >= 0;
    for (let t = 0; t < this.left.length; t++) {
      this.left[t] = within(index[3 * t] ?? 0) || within(index[3 * t + 1] ?? 0) || within(index[3 * t + 2] ?? 0) ? 1 : 0;
    }
  }

  private pick(eye: Vector3, all: boolean): void {
    const index = this.shape.getIndex()?.array ?? [];
    const to = this.skin.getIndex()?.array ?? [];
    const p = this.planes;
    let n = 0;
    for (let t = 0; t < this.seen.length; t++) {
      const o = 4 * t;
      const is = this.left[t] === 1 && (all || (p[o] ?? 0) * eye.x + (p[o + 1] ?? 0) * eye.y + (p[o + 2] ?? 0) * eye.z > (p[o + 3] ?? 0) - edgeOn);
      this.seen[t] = is ? 1 : 0;
      if (!is) continue;
      to[n++] = index[3 * t] ?? 0;
      to[n++] = index[3 * t + 1] ?? 0;
      to[n++] = index[3 * t + 2] ?? 0;
    }
    sent(this.skin, n);
    const { ends, sides } = this.lines;
    const along = this.edges.getIndex()?.array ?? [];
    n = 0;
    for (let i = 0; i < ends.length; i += 2) {
      if (!this.seen[sides[i] ?? 0] && !this.seen[sides[i + 1] ?? 0]) continue;
      along[n++] = ends[i] ?? 0;
      along[n++] = ends[i + 1] ?? 0;
    }
    sent(this.edges, n);
  }

  /** dispose gives back what was made for drawing; the shape stays. */
  dispose(): void {
    this.skin.dispose();
    this.edges.dispose();
  }
}

/** none cuts nothing away. */
const none = new Plane(new Vector3(0, 0, 0), 1);

/** sent draws the first n of an index that was written anew. */
function sent(g: BufferGeometry, n: number): void {
  const index = g.getIndex();
  if (!index) return;
  index.clearUpdateRanges();
  index.addUpdateRange(0, n);
  index.needsUpdate = true;
  g.setDrawRange(0, n);
}

/** planes are those of the faces of a shape; a face without an area is seen from nowhere. */
function planes(shape: BufferGeometry): Float32Array {
  const at = shape.getAttribute("position")?.array ?? [];
  const index = shape.getIndex()?.array ?? [];
  const normals = flat(at, index);
  const out = new Float32Array((4 * index.length) / 3);
  for (let t = 0, o = 0; t < index.length; t += 3, o += 4) {
    const [x, y, z] = [normals[t] ?? 0, normals[t + 1] ?? 0, normals[t + 2] ?? 0];
    if (Number.isNaN(x)) {
      out[o + 3] = 1;
      continue;
    }
    const a = 3 * (index[t] ?? 0);
    out[o] = x;
    out[o + 1] = y;
    out[o + 2] = z;
    out[o + 3] = x * (at[a] ?? 0) + y * (at[a + 1] ?? 0) + z * (at[a + 2] ?? 0);
  }
  return out;
}

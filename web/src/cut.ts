// The plane that cuts the box: where it lies, what of it is drawn, and the knob at its
// edge by which it is dragged.
import { BufferGeometry, type Box3, type Group, LineBasicMaterial, LineLoop, type Mesh, type MeshBasicMaterial, Plane, Vector2, Vector3 } from "three";
import { el } from "./dom";

export type Axis = "x" | "y" | "z";

/** What the plane needs of the picture it lies in. */
export interface Sight {
  box: Box3; // of the drawing
  turned: Group; // the box as it is held
  canvas: HTMLCanvasElement;
  onPage(p: Vector3): Vector2;
}

/** How far the outline stands off the box, a share of its size, and how near to the border of the picture the knob may come, pixels. */
const off = 0.06;
const border = 20;

export class Cut {
  readonly plane = new Plane(new Vector3(0, -1, 0), 0); // as the box is held
  on = false;
  /** moved is called with the place that is wanted, from 0 to 1 over the box. */
  moved: (share: number) => void = () => undefined;
  readonly section = new Plane(new Vector3(0, -1, 0), 0); // in the drawing
  private axis: Axis = "y";
  private share = 0.5;
  readonly outline = new LineLoop(new BufferGeometry(), new LineBasicMaterial({ color: 0x4a86b4 }));
  private readonly knob: HTMLElement;
  private grabbed: { from: Vector2; share: number; per: Vector2 } | null = null;

  constructor(
    holder: HTMLElement,
    private readonly sight: Sight,
  ) {
    this.knob = el("div", {
      id: "cut-knob", role: "slider", tabindex: 0, "aria-label": "The cut; drag it, or use the arrow keys", "aria-valuemin": 0, "aria-valuemax": 1, "aria-valuenow": 0.5, hidden: true,
      pointerdown: (e: PointerEvent) => this.take(e), pointermove: (e: PointerEvent) => this.drag(e),
      pointerup: () => { this.grabbed = null; }, pointercancel: () => { this.grabbed = null; }, keydown: (e: KeyboardEvent) => this.key(e),
    }, el("span", { "aria-hidden": "true" }, "↔"));
    holder.append(this.knob);
    sight.turned.add(this.outline);
  }

  /** set lays the plane across an axis and gives its place, mm; what lies towards the eye, a direction of the drawing, goes. */
  set(on: boolean, axis: Axis, share: number, eye: Vector3): number {
    this.on = on;
    this.axis = axis;
    this.share = share;
    const at = this.at(share);
    const n = new Vector3();
    n[axis] = eye[axis] > 0 ? -1 : 1;
    this.section.set(n, -n[axis] * at);
    this.held();
    this.outline.visible = on;
    this.outline.geometry.dispose();
    this.outline.geometry = new BufferGeometry().setFromPoints(this.corners(at));
    this.knob.hidden = !on;
    for (const [k, v] of Object.entries({ valuemin: this.at(0), valuemax: this.at(1), valuenow: at })) this.knob.setAttribute(`aria-${k}`, v.toFixed(1));
    this.knob.setAttribute("aria-valuetext", `${axis} = ${at.toFixed(1)} mm`);
    return at;
  }

  private at(share: number): number {
    const { min, max } = this.sight.box;
    return min[this.axis] + (max[this.axis] - min[this.axis]) * share;
  }

  /** held takes the plane along when the box is turned. */
  held(): void {
    this.plane.copy(this.section).applyMatrix4(this.sight.turned.matrix);
  }

  /** lay puts the filling of part i into the plane, about a middle and as far as a radius. */
  lay(cap: Mesh<BufferGeometry, MeshBasicMaterial>, i: number, middle: Vector3, radius: number): void {
    const size = Math.max(radius, 1e-3) * 2.05;
    cap.position.copy(middle);
    cap.quaternion.setFromUnitVectors(new Vector3(0, 0, 1), this.section.normal);
    cap.scale.setScalar(size);
    cap.material.map?.repeat.setScalar(size / (6 + (i % 3) * 2));
  }

  private size(): number {
    return this.sight.box.getSize(new Vector3()).length();
  }

  /** corners are those of the outline, in the drawing. */
  private corners(at: number): Vector3[] {
    const b = this.sight.box.clone().expandByScalar(this.size() * off);
    const [u, v] = ({ x: ["y", "z"], y: ["x", "z"], z: ["x", "y"] } as const)[this.axis];
    return [[b.min[u], b.min[v]], [b.max[u], b.min[v]], [b.max[u], b.max[v]], [b.min[u], b.max[v]]].map(([p, q]) => {
      const c = new Vector3();
      c[this.axis] = at;
      c[u] = p ?? 0;
      c[v] = q ?? 0;
      return c;
    });
  }

  private onPage(p: Vector3): Vector2 {
    return this.sight.onPage(p.clone().applyMatrix4(this.sight.turned.matrix));
  }

  /** step is how a point is seen to move on the page, pixels for the whole of the box; never nothing. */
  private step(at: Vector3): Vector2 {
    const to = at.clone();
    const range = this.at(1) - this.at(0);
    to[this.axis] += range;
    const seen = this.onPage(to).sub(this.onPage(at));
    const least = this.sight.canvas.clientHeight / 4; // the plane seen along its axis: the pointer goes up and down
    return seen.length() >= least ? seen : seen.lengthSq() > 1 ? seen.setLength(least) : new Vector2(0, -least);
  }

  /** follow keeps the knob at the upper edge of the plane, within the picture. */
  follow(): void {
    if (!this.on) return;
    const cs = this.corners(this.at(this.share));
    const edges = cs.map((c, i) => c.clone().add(cs[(i + 1) % cs.length] ?? c).multiplyScalar(0.5));
    const seen = edges.map((m) => ({ m, p: this.onPage(m) })).sort((a, b) => a.p.y - b.p.y)[0];
    if (!seen) return;
    const r = this.sight.canvas.getBoundingClientRect();
    const x = Math.min(Math.max(seen.p.x - r.left, border), r.width - border);
    const y = Math.min(Math.max(seen.p.y - r.top, border), r.height - border);
    const way = this.step(seen.m);
    this.knob.style.transform = `translate(${x.toFixed(1)}px, ${y.toFixed(1)}px) translate(-50%, -50%) rotate(${Math.atan2(way.y, way.x).toFixed(3)}rad)`;
    this.edge = seen.m;
  }

  private edge = new Vector3();

  private take(e: PointerEvent): void {
    if (e.button !== 0 || !e.isPrimary) return;
    this.knob.setPointerCapture(e.pointerId);
    this.grabbed = { from: new Vector2(e.clientX, e.clientY), share: this.share, per: this.step(this.edge) };
  }

  private drag(e: PointerEvent): void {
    const g = this.grabbed;
    if (!g) return;
    const by = new Vector2(e.clientX, e.clientY).sub(g.from);
    this.want(g.share + by.dot(g.per) / g.per.lengthSq());
  }

  private key(e: KeyboardEvent): void {
    const by = { ArrowRight: 0.01, ArrowUp: 0.01, ArrowLeft: -0.01, ArrowDown: -0.01, PageUp: 0.1, PageDown: -0.1, Home: -1, End: 1 }[e.key];
    if (by === undefined) return;
    e.preventDefault();
    this.want(this.share + by);
  }

  private want(share: number): void {
    this.moved(Math.min(1, Math.max(0, share)));
  }
}

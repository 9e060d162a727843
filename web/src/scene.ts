// The box in three dimensions: parts in their colours, cut by a plane with filled
// section faces, apart or together, ghosted or not. It draws; it decides nothing.
import {
  AlwaysStencilFunc, AmbientLight, BackSide, Box3, BufferAttribute, BufferGeometry, CanvasTexture, Color, DecrementWrapStencilOp,
  DirectionalLight, DoubleSide, FrontSide, Group, IncrementWrapStencilOp, Matrix4, Mesh, MeshBasicMaterial,
  MeshLambertMaterial, NotEqualStencilFunc, PerspectiveCamera, Plane, PlaneGeometry, Raycaster, RepeatWrapping, ReplaceStencilOp,
  Scene, Sprite, SpriteMaterial, Vector2, Vector3, WebGLRenderer, EdgesGeometry, LineSegments, LineBasicMaterial,
} from "three";
import { OrbitControls } from "three/examples/jsm/controls/OrbitControls.js";
import { acceleratedRaycast, computeBoundsTree } from "three-mesh-bvh";
import { calm } from "./dom";
import type { Stage, Travel } from "./wire";

/** One part on the stage. */
interface Body {
  group: Group;
  skin: Mesh<BufferGeometry, MeshLambertMaterial>;
  edges: LineSegments<EdgesGeometry, LineBasicMaterial>;
  cap: Mesh<PlaneGeometry, MeshBasicMaterial>;
  stencil: Group;
  centre: Vector3; // as drawn
  whole: boolean; // not cut
}

/** What lies under the pointer. */
export interface Hit {
  part: number;
  at: Vector3; // in the world as it is drawn
}

export type Axis = "x" | "y" | "z";

export class View {
  readonly canvas: HTMLCanvasElement;
  private readonly renderer: WebGLRenderer;
  private readonly scene = new Scene();
  private readonly camera = new PerspectiveCamera(32, 1, 1, 5000);
  readonly controls: OrbitControls;
  private bodies: Body[] = [];
  private stage: Stage | null = null;
  private config: number[] = [];
  private readonly plane = new Plane(new Vector3(0, -1, 0), 0);
  private cutOn = false;
  private apart = 0;
  private ghost = false;
  private chosen = -1;
  private wanted = false;
  private readonly box = new Box3();
  private readonly ring = ring();
  private readonly light = new DirectionalLight(0xffffff, 2.2);

  constructor(holder: HTMLElement) {
    this.renderer = new WebGLRenderer({ antialias: true, stencil: true, alpha: true, powerPreference: "low-power" });
    this.renderer.localClippingEnabled = true;
    this.canvas = this.renderer.domElement;
    holder.append(this.canvas);
    this.scene.add(new AmbientLight(0xffffff, 1.5), this.light);
    this.camera.up.set(0, 0, 1);
    this.controls = new OrbitControls(this.camera, this.canvas);
    this.controls.enableDamping = false;
    this.controls.addEventListener("change", () => this.draw());
    new ResizeObserver(() => this.resize(holder)).observe(holder);
    this.resize(holder);
  }

  private resize(holder: HTMLElement): void {
    const w = Math.max(1, holder.clientWidth);
    const h = Math.max(1, holder.clientHeight);
    this.renderer.setPixelRatio(Math.min(devicePixelRatio, 2));
    this.renderer.setSize(w, h);
    this.camera.aspect = w / h;
    this.camera.updateProjectionMatrix();
    this.draw();
  }

  /** draw asks for a picture at the next frame. */
  draw(): void {
    if (this.wanted) return;
    this.wanted = true;
    requestAnimationFrame(() => {
      this.wanted = false;
      this.light.position.copy(this.camera.position).add(new Vector3(40, -30, 120));
      this.renderer.render(this.scene, this.camera);
      this.canvas.dataset["drawn"] = String(Number(this.canvas.dataset["drawn"] ?? 0) + 1);
    });
  }

  /** show puts a stage up. The eye stays where it is if the box is the same one. */
  show(stage: Stage, meshes: Map<string, BufferGeometry>, keepEye: boolean): void {
    for (const b of this.bodies) this.scene.remove(b.group, b.cap, b.stencil);
    const whole = this.bodies.map((b) => b.whole);
    this.bodies = stage.parts.map((p, i) => this.body(i, meshes.get(p.mesh) ?? new BufferGeometry(), p.color));
    if (keepEye) this.bodies.forEach((b, i) => (b.whole = whole[i] ?? false));
    this.stage = stage;
    this.box.set(new Vector3(...stage.box_mm[0]), new Vector3(...stage.box_mm[1]));
    this.pose(stage.start);
    if (!keepEye) this.look();
    this.restyle();
  }

  /** look frames the whole box. */
  look(): void {
    const mid = this.box.getCenter(new Vector3());
    const eye = new Vector3(0.55, -0.75, 0.5).normalize();
    const right = new Vector3().crossVectors(this.camera.up, eye).normalize();
    const above = new Vector3().crossVectors(eye, right);
    const slope = Math.tan((this.camera.fov * Math.PI) / 360);
    let far = 1;
    for (let i = 0; i < 8; i++) {
      const c = new Vector3(i & 1 ? this.box.max.x : this.box.min.x, i & 2 ? this.box.max.y : this.box.min.y, i & 4 ? this.box.max.z : this.box.min.z).sub(mid);
      far = Math.max(far, c.dot(eye) + Math.abs(c.dot(right)) / (slope * this.camera.aspect), c.dot(eye) + Math.abs(c.dot(above)) / slope);
    }
    far *= 1.12;
    this.camera.position.copy(mid).addScaledVector(eye, far);
    this.camera.near = far / 50;
    this.camera.far = far * 20;
    this.camera.updateProjectionMatrix();
    this.controls.target.copy(mid);
    this.controls.update();
    this.draw();
  }

  /** mark rings a place of the assembly, mm, and turns the eye to it; null takes the ring away. */
  mark(at: [number, number, number] | null): void {
    this.ring.visible = at !== null;
    if (at) {
      this.scene.add(this.ring);
      this.ring.position.set(...at);
      this.ring.scale.setScalar(this.box.getSize(new Vector3()).length() / 12);
      const way = new Vector3(...at).sub(this.controls.target);
      this.camera.position.add(way);
      this.controls.target.add(way);
      this.controls.update();
    }
    this.draw();
  }

  /** orbit turns the eye about the box, degrees. */
  orbit(round: number, up: number): void {
    const v = this.camera.position.clone().sub(this.controls.target);
    const far = v.length();
    const turn = Math.atan2(v.y, v.x) + (round * Math.PI) / 180;
    const lift = Math.max(-1.5, Math.min(1.5, Math.asin(v.z / far) + (up * Math.PI) / 180));
    v.set(Math.cos(lift) * Math.cos(turn), Math.cos(lift) * Math.sin(turn), Math.sin(lift)).multiplyScalar(far);
    this.camera.position.copy(this.controls.target).add(v);
    this.controls.update();
    this.draw();
  }

  private body(i: number, shape: BufferGeometry, color: string): Body {
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
        stencilFail: op, stencilZFail: op, stencilZPass: op, clippingPlanes: [this.plane],
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
    this.scene.add(group, stencil, cap);
    shape.computeBoundingBox();
    return { group, skin, edges, cap, stencil, centre: shape.boundingBox?.getCenter(new Vector3()) ?? new Vector3(), whole: false };
  }

  /** pose sets the values of all travels, mm and degrees. */
  pose(config: number[]): void {
    this.config = config.slice();
    if (!this.stage) return;
    const mid = this.box.getCenter(new Vector3());
    this.bodies.forEach((b, i) => {
      const m = this.matrix(i, config);
      if (this.apart > 0 && !this.stage?.parts[i]?.frame) m.premultiply(new Matrix4().setPosition(this.away(b, i, mid)));
      for (const g of [b.group, b.stencil]) {
        g.matrixAutoUpdate = false;
        g.matrix.copy(m);
        g.matrixWorldNeedsUpdate = true;
      }
    });
    this.draw();
  }

  /** matrix is where a part stands: the product of the motions of its travels and of what carries it. */
  private matrix(part: number, config: number[]): Matrix4 {
    const m = new Matrix4();
    const s = this.stage;
    for (let p = part; s && p >= 0; p = s.parts[p]?.carrier ?? -1) {
      for (const t of (s.parts[p]?.travels ?? []).slice().reverse()) {
        const k = s.travels[t];
        if (k) m.premultiply(motion(k, config[t] ?? 0));
      }
    }
    return m;
  }

  /** away is how far a part is drawn off the others when they are taken apart. */
  private away(b: Body, i: number, mid: Vector3): Vector3 {
    const size = this.box.getSize(new Vector3()).length();
    const k = this.stage?.travels[this.stage.parts[i]?.travels[0] ?? -1];
    const v = k ? new Vector3(...k.dir) : b.centre.clone().sub(mid);
    if (v.lengthSq() < 1e-9) v.set(0, 0, 1);
    if (k && k.kind === "slide" && Math.abs(k.lo) > k.hi) v.negate();
    return v.normalize().multiplyScalar(this.apart * size * (0.35 + 0.22 * i));
  }

  setApart(v: number): void {
    this.apart = v;
    this.pose(this.config);
  }

  setGhost(on: boolean): void {
    this.ghost = on;
    this.restyle();
  }

  choose(part: number): void {
    this.chosen = part;
    this.restyle();
  }

  setWhole(part: number, whole: boolean): void {
    const b = this.bodies[part];
    if (b) b.whole = whole;
    this.restyle();
  }

  isWhole(part: number): boolean {
    return this.bodies[part]?.whole ?? false;
  }

  /** cut places the plane; share runs from 0 to 1 over the box. */
  cut(on: boolean, axis: Axis, share: number): number {
    this.cutOn = on;
    const lo = this.box.min[axis];
    const at = lo + (this.box.max[axis] - lo) * share;
    const n = new Vector3();
    n[axis] = axis === "y" ? 1 : -1; // what lies towards the eye goes
    this.plane.set(n, axis === "y" ? -at : at);
    const size = this.box.getSize(new Vector3()).length() * 4;
    const mid = this.box.getCenter(new Vector3());
    mid[axis] = at;
    this.bodies.forEach((b, i) => {
      b.cap.position.copy(mid);
      b.cap.lookAt(mid.clone().sub(n));
      b.cap.scale.setScalar(size);
      b.cap.material.map?.repeat.setScalar(size / (6 + (i % 3) * 2));
    });
    this.restyle();
    return at;
  }

  private restyle(): void {
    this.bodies.forEach((b, i) => {
      const cut = this.cutOn && !b.whole;
      const planes = cut ? [this.plane] : [];
      const faint = this.ghost && i !== this.chosen && !!this.stage?.parts[i]?.frame;
      b.skin.material.clippingPlanes = planes;
      b.edges.material.clippingPlanes = planes;
      b.skin.material.transparent = faint;
      b.skin.material.opacity = faint ? 0.16 : 1;
      b.skin.material.depthWrite = !faint;
      b.skin.material.needsUpdate = true;
      b.edges.material.opacity = i === this.chosen ? 1 : 0.45;
      b.skin.material.emissive.set(i === this.chosen ? 0x2b2b2b : 0x000000);
      b.stencil.visible = cut && !faint;
      b.cap.visible = cut && !faint;
    });
    this.draw();
  }

  /** under gives the part under a point of the page. */
  under(x: number, y: number): Hit | null {
    const r = this.canvas.getBoundingClientRect();
    const ray = new Raycaster();
    ray.firstHitOnly = false;
    ray.setFromCamera(new Vector2(((x - r.left) / r.width) * 2 - 1, 1 - ((y - r.top) / r.height) * 2), this.camera);
    this.scene.updateMatrixWorld();
    for (const h of ray.intersectObjects(this.bodies.map((b) => b.skin), false)) {
      const part = h.object.userData["part"] as number;
      const b = this.bodies[part];
      if (!b || (this.ghost && this.stage?.parts[part]?.frame && part !== this.chosen)) continue;
      if (this.cutOn && !b.whole && this.plane.distanceToPoint(h.point) < 0) continue;
      return { part, at: h.point };
    }
    return null;
  }

  /** pull is how a point of a part moves on the page when a travel moves, pixels per mm or degree. */
  pull(travel: number, at: Vector3): Vector2 {
    const k = this.stage?.travels[travel];
    if (!k) return new Vector2();
    const carrier = this.matrix(this.stage?.parts[k.part]?.carrier ?? -1, this.config);
    const dir = new Vector3(...k.dir).transformDirection(carrier);
    const v = dir.clone();
    if (k.kind !== "slide") {
      const p = new Vector3(...k.point_mm).applyMatrix4(carrier);
      v.crossVectors(dir, at.clone().sub(p)).multiplyScalar(Math.PI / 180).addScaledVector(dir, k.lead_mm / 360);
    }
    return this.onPage(at.clone().add(v)).sub(this.onPage(at));
  }

  /** centre is where the middle of a part is seen on the page. */
  centre(part: number): Vector2 {
    const b = this.bodies[part];
    return b ? this.onPage(b.centre.clone().applyMatrix4(b.group.matrix)) : new Vector2();
  }

  private onPage(p: Vector3): Vector2 {
    this.camera.updateMatrixWorld();
    const q = p.clone().project(this.camera);
    const r = this.canvas.getBoundingClientRect();
    return new Vector2(r.left + ((q.x + 1) / 2) * r.width, r.top + ((1 - q.y) / 2) * r.height);
  }

  /** glide poses from one configuration to another, at once for whom motion disturbs. */
  async glide(from: number[], to: number[], ms: number): Promise<void> {
    if (calm() || document.hidden) {
      this.pose(to);
      return;
    }
    const begin = performance.now();
    await new Promise<void>((done) => {
      const step = (now: number) => {
        const u = Math.min(1, (now - begin) / ms);
        const s = u * u * (3 - 2 * u);
        this.pose(from.map((v, i) => v + ((to[i] ?? v) - v) * s));
        if (u < 1) requestAnimationFrame(step);
        else done();
      };
      requestAnimationFrame(step);
    });
  }
}

/** motion is the matrix of one travel at a value. */
function motion(k: Travel, value: number): Matrix4 {
  const dir = new Vector3(...k.dir);
  if (k.kind === "slide") return new Matrix4().setPosition(dir.multiplyScalar(value));
  const p = new Vector3(...k.point_mm);
  const m = new Matrix4().setPosition(p.clone().addScaledVector(dir, (k.lead_mm * value) / 360));
  return m.multiply(new Matrix4().makeRotationAxis(dir, (value * Math.PI) / 180)).multiply(new Matrix4().setPosition(p.negate()));
}

/** ring is a mark that is seen through everything, light on dark so that it shows on any colour. */
function ring(): Sprite {
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
function hatch(color: string, i: number): CanvasTexture {
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
  if (nt > 0) {
    g.computeBoundsTree = computeBoundsTree;
    g.computeBoundsTree();
  }
  return g;
}


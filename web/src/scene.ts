// The box in three dimensions: parts in their colours, cut by a plane with filled
// section faces, apart or together, ghosted or not. It draws; it decides nothing.
import {
  AmbientLight, Box3, BufferGeometry, DirectionalLight, DoubleSide, FrontSide, Group, Matrix4, PerspectiveCamera, Quaternion, Raycaster, Scene, Vector2, Vector3,
} from "three";
import { OrbitControls } from "three/examples/jsm/controls/OrbitControls.js";
import { type Body, body, dispose } from "./body";
import { type Axis, Cut } from "./cut";
import { calm } from "./dom";
import { Paint } from "./paint";
import { motion, ring } from "./shape";
import { absent, between, counted, home, pace, type Situation } from "./situation";
import type { Stage } from "./wire";

/** What lies under the pointer. */
export interface Hit {
  part: number;
  at: Vector3; // in the world as it is drawn
}

export class View {
  readonly canvas: HTMLCanvasElement;
  private readonly paint: Paint;
  private readonly scene = new Scene();
  private readonly camera = new PerspectiveCamera(32, 1, 1, 5000);
  readonly controls: OrbitControls;
  private bodies: Body[] = [];
  private stage: Stage | null = null;
  private now: Situation = { config: [], up: 0, tools: [], held: new Quaternion() };
  private readonly turned = new Group(); // the box as it is held
  readonly section: Cut;
  private apart = 0;
  private ghost = false;
  private only: Set<number> | null = null; // all other parts are drawn faint
  private chosen = -1;
  private readonly box = new Box3();
  private readonly ring = ring();
  private readonly light = new DirectionalLight(0xffffff, 2.2);

  /** turn is called when the box has been turned. */
  turn: () => void = () => undefined;

  constructor(holder: HTMLElement) {
    this.paint = new Paint({
      scene: this.scene, camera: this.camera, clear: () => !this.ghost, before: () => this.ready(), after: () => this.counted(),
      things: () => this.bodies.map((b) => [b.group, b.stencil, b.cap]), still: () => [this.section.outline],
    });
    this.canvas = this.paint.renderer.domElement;
    holder.append(this.canvas);
    this.turned.matrixAutoUpdate = false;
    this.turned.add(this.ring);
    this.scene.add(new AmbientLight(0xffffff, 1.5), this.light, this.turned);
    this.section = new Cut(holder, { box: this.box, turned: this.turned, canvas: this.canvas, onPage: (p) => this.onPage(p) });
    this.camera.up.set(0, 0, 1);
    this.controls = new OrbitControls(this.camera, this.canvas);
    this.controls.enableDamping = false;
    this.canvas.style.touchAction = ""; // the stylesheet's: a finger beside the parts scrolls the page
    this.controls.addEventListener("change", () => this.draw());
    this.controls.addEventListener("start", () => (this.framed = false));
    new ResizeObserver(() => this.resize(holder)).observe(holder);
    this.resize(holder);
  }

  private framed = false; // the whole box is looked at, and nobody has moved the eye since

  private resize(holder: HTMLElement): void {
    const w = Math.max(1, holder.clientWidth);
    const h = Math.max(1, holder.clientHeight);
    this.camera.aspect = w / h;
    this.camera.updateProjectionMatrix();
    if (this.framed && this.stage) this.look(); // a phone that is turned
    this.paint.resize(w, h);
  }

  /** draw asks for a picture at the next frame. */
  draw(): void {
    this.paint.all();
  }

  /** ready sees to what follows the eye. */
  private ready(): void {
    this.light.position.copy(this.camera.position).add(new Vector3(40, -30, 120));
    const eye = this.camera.position.clone().applyMatrix4(this.turned.matrix.clone().invert());
    this.bodies.forEach((b, i) => {
      const drawn = b.group.matrix.clone().invert();
      const cut = this.section.on && !b.whole ? this.section.section.clone().applyMatrix4(drawn) : null;
      b.faces.look(eye.clone().applyMatrix4(drawn), cut, b.open || this.faint(i));
    });
  }

  private counted(): void {
    this.section.follow();
    const { geometries, textures } = this.paint.renderer.info.memory;
    this.canvas.dataset["held"] = String(geometries + textures); // by the graphics card
    this.canvas.dataset["drawn"] = String(Number(this.canvas.dataset["drawn"] ?? 0) + 1);
  }

  /** show puts a stage up. The eye stays where it is if the box is the same one. */
  show(stage: Stage, meshes: Map<string, BufferGeometry>, keepEye: boolean): void {
    for (const b of this.bodies) {
      this.turned.remove(b.group, b.cap, b.stencil);
      dispose(b);
    }
    const whole = this.bodies.map((b) => b.whole);
    this.bodies = stage.parts.map((p, i) => body(i, meshes.get(p.mesh) ?? new BufferGeometry(), p.color, !p.sound));
    for (const b of this.bodies) this.turned.add(b.group, b.stencil, b.cap);
    if (keepEye) this.bodies.forEach((b, i) => (b.whole = whole[i] ?? false));
    this.stage = stage;
    this.canvas.dataset["drawn"] = "0"; // of this stage
    this.box.set(new Vector3(...stage.box_mm[0]), new Vector3(...stage.box_mm[1]));
    this.gliding++;
    this.put(keepEye ? this.now : home(stage), true);
    if (!keepEye) this.look();
    this.restyle();
  }

  /** look frames the whole box. */
  look(): void {
    this.stand(new Vector3(0.55, -0.75, 0.5).normalize(), this.now.held, 0);
    this.framed = true;
  }

  /** stand looks at the middle of the box from a direction, no nearer than given and far enough to see all of it. */
  private stand(eye: Vector3, held: Quaternion, least: number): void {
    const mid = this.box.getCenter(new Vector3());
    const far = Math.max(least, this.far(eye, held));
    this.camera.position.copy(mid).addScaledVector(eye, far);
    this.camera.near = far / 50;
    this.camera.far = far * 20;
    this.camera.updateProjectionMatrix();
    this.controls.target.copy(mid);
    this.controls.update();
    this.draw();
  }

  /** far is from how far away all of the box is seen, held as given. */
  private far(eye: Vector3, held: Quaternion): number {
    const mid = this.box.getCenter(new Vector3());
    const right = new Vector3().crossVectors(this.camera.up, eye).normalize();
    const above = new Vector3().crossVectors(eye, right);
    const slope = Math.tan((this.camera.fov * Math.PI) / 360);
    let far = 1;
    for (let i = 0; i < 8; i++) {
      const c = new Vector3(i & 1 ? this.box.max.x : this.box.min.x, i & 2 ? this.box.max.y : this.box.min.y, i & 4 ? this.box.max.z : this.box.min.z).sub(mid).applyQuaternion(held);
      far = Math.max(far, c.dot(eye) + Math.abs(c.dot(right)) / (slope * this.camera.aspect), c.dot(eye) + Math.abs(c.dot(above)) / slope);
    }
    return far * 1.12;
  }

  /** mark rings a place of the assembly, mm, and turns the eye to it; null takes the ring away. */
  mark(at: [number, number, number] | null): void {
    this.ring.visible = at !== null;
    if (at) {
      this.framed = false;
      this.ring.position.set(...at);
      this.ring.scale.setScalar(this.box.getSize(new Vector3()).length() / 12);
      const way = new Vector3(...at).applyMatrix4(this.turned.matrix).sub(this.controls.target);
      this.camera.position.add(way);
      this.controls.target.add(way);
      this.controls.update();
    }
    this.draw();
  }

  /** orbit turns the eye about the box, degrees. */
  orbit(round: number, up: number): void {
    this.framed = false;
    const v = this.camera.position.clone().sub(this.controls.target);
    const far = v.length();
    const turn = Math.atan2(v.y, v.x) + (round * Math.PI) / 180;
    const lift = Math.max(-1.5, Math.min(1.5, Math.asin(v.z / far) + (up * Math.PI) / 180));
    v.set(Math.cos(lift) * Math.cos(turn), Math.cos(lift) * Math.sin(turn), Math.sin(lift)).multiplyScalar(far);
    this.camera.position.copy(this.controls.target).add(v);
    this.controls.update();
    this.draw();
  }

  /** shown is the picture as it is now. */
  get shown(): Situation {
    return this.now;
  }

  /** pose shows a situation. */
  pose(now: Situation): void {
    this.gliding++;
    this.put(now);
  }

  private put(now: Situation, whole = !now.held.equals(this.now.held)): void {
    const s = this.stage;
    this.now = now;
    if (!s) return;
    const mid = this.box.getCenter(new Vector3());
    this.turned.matrix.makeRotationFromQuaternion(now.held).setPosition(mid.clone().sub(mid.clone().applyQuaternion(now.held)));
    this.turned.matrixWorldNeedsUpdate = true;
    this.section.held();
    const out = absent(s, now);
    let other = whole;
    const moved: number[] = [];
    this.bodies.forEach((b, i) => {
      const m = this.matrix(i, now.config);
      if (this.apart > 0 && !s.parts[i]?.frame) m.premultiply(new Matrix4().setPosition(this.away(b, i, mid)));
      if (!b.group.matrix.equals(m)) moved.push(i);
      for (const g of [b.group, b.stencil]) {
        g.matrixAutoUpdate = false;
        g.matrix.copy(m);
        g.matrixWorldNeedsUpdate = true;
      }
      other ||= b.gone !== out.has(i);
      b.gone = out.has(i);
      this.fill(b, i);
      this.seen(b, i);
    });
    this.canvas.dataset["up"] = String(now.up);
    for (const i of moved) this.paint.part(i);
    if (other) this.draw();
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
    this.put(this.now, true);
  }

  setGhost(on: boolean): void {
    this.ghost = on;
    this.restyle();
  }

  /** pickOut draws all other parts faint; null draws them all as they are. */
  pickOut(parts: number[] | null): void {
    if (!parts && !this.only) return;
    this.only = parts && parts.length > 0 && parts.length < this.bodies.length ? new Set(parts) : null;
    this.canvas.dataset["only"] = [...(this.only ?? [])].map((i) => this.stage?.parts[i]?.name).join(", ");
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

  /** cutAway tells whether the plane takes all of a part out of the picture. */
  cutAway(part: number): boolean {
    const b = this.bodies[part];
    if (!b || b.whole || !this.section.on || b.fan.radius > 0) return false;
    return this.section.section.distanceToPoint(b.centre.clone().applyMatrix4(b.group.matrix)) < 0;
  }

  isWhole(part: number): boolean {
    return this.bodies[part]?.whole ?? false;
  }

  /** cut places the plane and gives its place, mm; share runs from 0 to 1 over the box. */
  cut(on: boolean, axis: Axis, share: number): number {
    const eye = this.camera.position.clone().sub(this.controls.target).applyQuaternion(this.now.held.clone().invert());
    const at = this.section.set(on, axis, share, eye);
    this.bodies.forEach((b, i) => this.fill(b, i));
    this.restyle();
    return at;
  }

  /** fill finds the section of a part and lays its filling there. */
  private fill(b: Body, i: number): void {
    if (!this.section.on) return;
    b.fan.lay(b.shape, b.group.matrix, this.section.section);
    this.section.lay(b.cap, i, b.fan.middle.clone().applyMatrix4(b.group.matrix), b.fan.radius);
  }

  /** seen hides and shows what belongs to a part. */
  private seen(b: Body, i: number): void {
    const filled = this.section.on && !b.whole && !b.gone && b.fan.radius > 0 && !this.faint(i);
    b.group.visible = !b.gone;
    b.stencil.visible = filled;
    b.cap.visible = filled;
  }

  private faint(i: number): boolean {
    return (!!this.only && !this.only.has(i)) || (this.ghost && i !== this.chosen && !!this.stage?.parts[i]?.frame);
  }

  private restyle(): void {
    this.bodies.forEach((b, i) => {
      const planes = this.section.on && !b.whole ? [this.section.plane] : [];
      const faint = this.faint(i);
      b.skin.material.clippingPlanes = planes;
      b.edges.material.clippingPlanes = planes;
      b.skin.material.side = b.open || faint ? DoubleSide : FrontSide; // what is cut is filled
      b.skin.material.transparent = faint;
      b.skin.material.opacity = faint ? 0.16 : 1;
      b.skin.material.depthWrite = !faint;
      b.skin.material.needsUpdate = true;
      b.edges.material.opacity = i === this.chosen ? 1 : 0.45;
      b.skin.material.emissive.set(i === this.chosen ? 0x2b2b2b : 0x000000);
      this.seen(b, i);
    });
    this.draw();
  }

  /** under gives the part under a point of the page. */
  under(x: number, y: number): Hit | null {
    const r = this.canvas.getBoundingClientRect();
    const ray = new Raycaster();
    ray.firstHitOnly = false;
    this.camera.updateMatrixWorld(); // the picture may not be drawn yet
    ray.setFromCamera(new Vector2(((x - r.left) / r.width) * 2 - 1, 1 - ((y - r.top) / r.height) * 2), this.camera);
    this.scene.updateMatrixWorld();
    for (const h of ray.intersectObjects(this.bodies.map((b) => b.skin), false)) {
      const part = h.object.userData["part"] as number;
      const b = this.bodies[part];
      if (!b || b.gone || this.faint(part)) continue;
      if (this.section.on && !b.whole && this.section.plane.distanceToPoint(h.point) < 0) continue;
      return { part, at: h.point };
    }
    return null;
  }

  /** pull is how a point of a part moves on the page when a travel moves, pixels per mm or degree. */
  pull(travel: number, at: Vector3): Vector2 {
    const k = this.stage?.travels[travel];
    if (!k) return new Vector2();
    const carrier = this.matrix(this.stage?.parts[k.part]?.carrier ?? -1, this.now.config).premultiply(this.turned.matrix);
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
    return b ? this.onPage(b.centre.clone().applyMatrix4(b.group.matrix).applyMatrix4(this.turned.matrix)) : new Vector2();
  }

  private onPage(p: Vector3): Vector2 {
    this.camera.updateMatrixWorld();
    const q = p.clone().project(this.camera);
    const r = this.canvas.getBoundingClientRect();
    return new Vector2(r.left + ((q.x + 1) / 2) * r.width, r.top + ((1 - q.y) / 2) * r.height);
  }

  private gliding = 0;

  /**
   * glide goes from the picture there is through situations, at once for whom motion disturbs; a later picture ends
   * it. Full turns are counted as in the situation given, which is where the path begins.
   */
  async glide(path: Situation[], ms: number, begins = path[0]): Promise<void> {
    const last = path.at(-1);
    const stage = this.stage;
    if (!last || !stage || !begins) return;
    const turn = !last.held.equals(this.now.held);
    const first = counted(stage, this.now, begins);
    const legs = path.map((to, i) => ({ from: path[i - 1] ?? first, to, ms: 0 }));
    for (const l of legs) l.ms = ms * pace(stage, l.from, l.to);
    const mine = ++this.gliding;
    if (turn) this.makeRoom(path);
    if (!calm() && !document.hidden) {
      let begin = performance.now();
      for (const l of legs) {
        for (let u = 0; u < 1;) {
          const now = await new Promise<number>((r) => requestAnimationFrame(r));
          if (mine !== this.gliding) return;
          u = Math.min(1, Math.max(0, (now - begin) / l.ms));
          this.put(between(l.from, l.to, l.ms > 150 ? u * u * (3 - 2 * u) : u));
        }
        begin = performance.now();
      }
    }
    this.put(last);
    if (turn) this.turn();
  }

  /** makeRoom steps back if the box would not be seen whole as it will be held. */
  private makeRoom(path: Situation[]): void {
    const eye = this.camera.position.clone().sub(this.controls.target);
    const far = eye.length();
    eye.normalize();
    const most = Math.max(...path.map((s) => this.far(eye, s.held)));
    if (most > far) this.stand(eye, this.now.held, most);
  }
}

// When the picture is drawn anew, and how: as a whole or in layers, coarsely while
// something moves on a slow machine, and as sharply as the screen is once all rests.
import { type Object3D, type PerspectiveCamera, type Scene, WebGLRenderer } from "three";
import { Layers, type Moving } from "./layers";
import { bySoftware, full, Pace, type Sharpness } from "./pace";

/** What is painted. */
export interface Subject {
  scene: Scene;
  camera: PerspectiveCamera;
  things: () => Moving[]; // that may move by themselves
  still: () => Object3D[]; // what else is drawn, and never moves by itself
  clear: () => boolean; // nothing is seen through, so that it can be put together in layers
  before: () => void;
  after: () => void;
}

/** pause is how long nothing has moved when all rests, ms. */
const pause = 150;

export class Paint {
  readonly renderer = new WebGLRenderer({ antialias: false, stencil: true, alpha: true, powerPreference: "low-power" });
  private readonly layers: Layers;
  private readonly whole: Pace;
  private readonly parts: Pace;
  private epoch = 0; // counts what changes the picture but for parts that move
  private last = -1; // the epoch of the last picture
  private readonly moved = new Set<number>(); // things, since the last picture
  private asked = -1; // when a picture was asked for that has not been drawn yet, ms
  private drawn = 0; // when the last one was, ms
  private settling = 0;
  private resting = false;
  private size = [1, 1] as [number, number];

  constructor(private readonly subject: Subject) {
    this.renderer.localClippingEnabled = true;
    this.layers = new Layers(this.renderer, subject.scene, subject.camera);
    const step = bySoftware(this.renderer.getContext()) ? 1 : 0;
    this.whole = new Pace(step);
    this.parts = new Pace(step);
  }

  /** resize makes the picture as large as so many pixels of the page. */
  resize(w: number, h: number): void {
    this.size = [w, h];
    this.renderer.setSize(w, h, false); // its place on the page is the stylesheet's
    this.all();
  }

  /** all asks for a picture at the next frame. */
  all(): void {
    this.epoch++;
    this.ask();
  }

  /** part asks for a picture in which a thing stands elsewhere. */
  part(i: number): void {
    this.moved.add(i);
    this.ask();
  }

  private ask(): void {
    this.renderer.domElement.dataset["sharp"] = "";
    if (this.asked >= 0) return;
    this.asked = performance.now();
    requestAnimationFrame(() => this.frame());
  }

  private frame(): void {
    const now = performance.now();
    const layered = this.epoch === this.last && !this.resting && this.subject.clear();
    const pace = layered ? this.parts : this.whole;
    const since = now - this.drawn;
    if (!this.resting) pace.took(now - this.asked);
    this.asked = -1;
    this.drawn = now;
    const s = this.resting ? full() : pace.sharpness;
    this.subject.before();
    this.sharpen(s);
    if (layered) this.layers.draw(this.epoch, this.moved, this.subject.things(), this.subject.still());
    else if (s.smooth) this.layers.whole();
    else this.renderer.render(this.subject.scene, this.subject.camera);
    clearTimeout(this.settling);
    // a slow machine takes longer from one picture to the next
    if (layered || !s.smooth) this.settling = window.setTimeout(() => this.rest(), Math.min(2000, Math.max(pause, since < 2000 ? 3 * since : 0)));
    else this.renderer.domElement.dataset["sharp"] = "1"; // at rest
    this.resting = false;
    this.last = this.epoch;
    this.moved.clear();
    this.subject.after();
  }

  private rest(): void {
    this.resting = true;
    this.all();
  }

  private sharpen(s: Sharpness): void {
    if (this.renderer.getPixelRatio() === s.dots) return;
    this.renderer.setPixelRatio(s.dots);
    this.renderer.setSize(...this.size, false);
  }
}

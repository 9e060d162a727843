// Taking a part with the pointer.
import { Vector2 } from "three";
import { Grip } from "./grip";
import type { Play } from "./play";
import { stands } from "./point";

interface Grab {
  grip: Grip;
  from: Vector2;
  dirs: Vector2[]; // how far the part is seen to go a mm or degree of each travel
  travels: number[];
  start: number[];
  id: number;
}

/** still is how far a pointer may shift and still be at rest, pixels. */
const still = 6;

/** drag lets the pointer take a part where it is pressed, and draws it along. */
export function drag(play: Play): void {
  const c = play.view.canvas;
  let grab: Grab | null = null;
  let dropped: Vector2 | null = null; // where the last part was let go: what is said of it stays until the pointer goes on
  c.addEventListener("pointerdown", (e) => {
    if (e.button !== 0 || !e.isPrimary || grab) return;
    const hit = play.view.under(e.clientX, e.clientY);
    if (!hit || !play.now || play.playing) return;
    const travels = play.byHand(hit.part);
    if (travels.length === 0) {
      play.say(stands(play, hit.part), true);
      return;
    }
    play.choose(hit.part);
    e.stopImmediatePropagation();
    play.view.controls.enabled = false;
    c.setPointerCapture(e.pointerId);
    const now = play.now;
    grab = {
      grip: new Grip(play, hit.part), from: new Vector2(e.clientX, e.clientY), dirs: travels.map((t) => play.view.pull(t, hit.at)),
      travels, start: travels.map((t) => now.config[t] ?? 0), id: e.pointerId,
    };
  }, { capture: true });
  // a finger on a part draws it in every direction; beside the parts it scrolls the page
  c.addEventListener("touchstart", (e) => {
    const t = e.touches[0];
    const hit = e.touches.length === 1 && t ? play.view.under(t.clientX, t.clientY) : null;
    if (hit && play.byHand(hit.part).length > 0) e.preventDefault();
  }, { passive: false });
  c.addEventListener("pointermove", (e) => {
    if (!grab) {
      if (dropped && dropped.distanceTo(new Vector2(e.clientX, e.clientY)) < still) return;
      dropped = null;
      play.pointing.over(e);
      return;
    }
    const g = grab;
    const by = wanted(g.dirs, new Vector2(e.clientX, e.clientY).sub(g.from));
    g.grip.to(by.map((d, i) => ({ travel: g.travels[i] ?? 0, value: (g.start[i] ?? 0) + d })));
  });
  const drop = (e: PointerEvent) => {
    if (!grab || e.pointerId !== grab.id) return;
    const g = grab;
    grab = null;
    dropped = new Vector2(e.clientX, e.clientY);
    play.view.controls.enabled = true;
    void g.grip.drop();
  };
  c.addEventListener("pointerup", drop);
  c.addEventListener("pointercancel", drop);
}
/** wanted is how far each travel would have to go so that the part follows the pointer best. */
function wanted(dirs: Vector2[], by: Vector2): number[] {
  const tiny = 1e-4;
  const [a, b] = dirs;
  if (!a) return [];
  const alone = (d: Vector2) => (d.lengthSq() < tiny ? 0 : by.dot(d) / d.lengthSq());
  if (!b) return [alone(a)];
  const cross = a.x * b.y - a.y * b.x;
  if (Math.abs(cross) < 0.25 * a.length() * b.length() + tiny) {
    return a.lengthSq() > b.lengthSq() ? [alone(a), 0] : [0, alone(b)];
  }
  return [(by.x * b.y - by.y * b.x) / cross, (a.x * by.y - a.y * by.x) / cross];
}

// Taking a part with the pointer.
import { Vector2 } from "three";
import type { Play } from "./play";
import type { Want } from "./wire";

/** drag lets the pointer take a part where it is pressed, and draws it along. */
export function drag(play: Play): void {
  const c = play.view.canvas;
  let grab: { part: number; from: Vector2; dirs: Vector2[]; travels: number[]; start: number[]; before: number[]; id: number } | null = null;
  let sending = false;
  let waiting: Want[] | null = null;
  const send = async (want: Want[]) => {
    if (sending) {
      waiting = want;
      return;
    }
    sending = true;
    await play.pull(want, false);
    sending = false;
    if (waiting && grab) {
      const w = waiting;
      waiting = null;
      await send(w);
    }
  };
  c.addEventListener("pointerdown", (e) => {
    if (e.button !== 0 || !e.isPrimary) return;
    const hit = play.view.under(e.clientX, e.clientY);
    const part = hit && play.stage?.parts[hit.part];
    if (!hit || !part) return;
    if (part.travels.length > 0 && play.chosen !== hit.part) play.choose(hit.part);
    if (part.travels.length === 0) return;
    play.playing = false;
    e.stopImmediatePropagation();
    play.view.controls.enabled = false;
    c.setPointerCapture(e.pointerId);
    grab = {
      part: hit.part, from: new Vector2(e.clientX, e.clientY), dirs: part.travels.map((t) => play.view.pull(t, hit.at)),
      travels: part.travels, start: part.travels.map((t) => play.config[t] ?? 0), before: play.config.slice(), id: e.pointerId,
    };
  }, { capture: true });
  c.addEventListener("pointermove", (e) => {
    if (!grab) {
      play.hover(e);
      return;
    }
    const want = wanted(grab.dirs, new Vector2(e.clientX, e.clientY).sub(grab.from)).map((d, i) => ({ travel: grab?.travels[i] ?? 0, value: (grab?.start[i] ?? 0) + d }));
    const only = want.length === 1 ? want[0] : undefined;
    const room = only && play.rooms.find((r) => r.travel === only.travel);
    if (only && room) {
      // within the room that is known it follows the pointer at once
      play.config[only.travel] = Math.min(Math.max(only.value, room.lo.at), room.hi.at);
      play.view.pose(play.config);
      const end = only.value > room.hi.at ? room.hi : only.value < room.lo.at ? room.lo : null;
      play.say(end ? `${play.name(grab.part)}: ${end.words}` : play.stands(grab.part), true);
      return;
    }
    void send(want);
  });
  const drop = async (e: PointerEvent) => {
    if (!grab || e.pointerId !== grab.id) return;
    const g = grab;
    grab = null;
    waiting = null;
    play.view.controls.enabled = true;
    while (sending) await new Promise((r) => setTimeout(r, 10));
    if (g.travels.length === 1) {
      // the program draws it along the same stretch: what counts is its answer
      const t = g.travels[0] ?? 0;
      const value = play.config[t] ?? 0;
      play.config = g.before.slice();
      await play.pull([{ travel: t, value }], true);
    } else if (g.travels.length > 1) {
      await play.pull(g.travels.map((t) => ({ travel: t, value: play.config[t] ?? 0 })), true);
    }
    play.note(g.part, g.before);
  };
  c.addEventListener("pointerup", (e) => void drop(e));
  c.addEventListener("pointercancel", (e) => void drop(e));
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

// Where everything stands while the box is played, and the way from one such situation
// to the next, as it is drawn. The program tells the situations; between two of them the
// picture only runs evenly.
import { Quaternion, Vector3 } from "three";
import type { Pose, Stage } from "./wire";

/** Situation is a pose with how the box is held in the picture: turned from the drawing. */
export interface Situation {
  config: number[];
  up: number;
  tools: number[];
  held: Quaternion;
}

/** home is the box as it is handed over. */
export function home(stage: Stage): Situation {
  return { config: stage.start.slice(), up: 0, tools: stage.tools.map(() => 0), held: turned(new Quaternion(), stage.directed ? stage.ups[0]?.up : undefined) };
}

/** next is the situation of a pose, the box turned there the shortest way from another. */
export function next(stage: Stage, from: Situation, p: Pose): Situation {
  return { config: p.config.slice(), up: p.up, tools: p.tools.slice(), held: p.up === from.up ? from.held : turned(from.held, stage.ups[p.up]?.up) };
}

/** follow lists the situations of poses, one after the other. */
export function follow(stage: Stage, from: Situation, poses: Pose[]): Situation[] {
  const out: Situation[] = [];
  for (const p of poses) out.push(next(stage, out.at(-1) ?? from, p));
  return out;
}

const upwards = new Vector3(0, 0, 1);

/** turned turns the box the shortest way until a direction of the drawing is up. */
function turned(held: Quaternion, up?: [number, number, number]): Quaternion {
  if (!up) return held;
  const now = new Vector3(...up).applyQuaternion(held).normalize();
  return new Quaternion().setFromUnitVectors(now, upwards).multiply(held).normalize();
}

/** tiny is what two values may differ by and still be the same, mm or degrees. */
const tiny = 1e-3;

/** same tells whether nothing moved between two situations. */
export function same(a: Situation, b: Situation): boolean {
  return a.up === b.up && a.tools.every((v, i) => v === b.tools[i]) && a.config.every((v, i) => Math.abs(v - (b.config[i] ?? 0)) < tiny);
}

/** folded brings full turns back into one turn. */
export function folded(stage: Stage, s: Situation): Situation {
  return { ...s, config: s.config.map((v, i) => (stage.travels[i]?.full_turn ? ((v % 360) + 360) % 360 : v)) };
}

/** counted is a situation with full turns counted so that they are nearest to those of another. */
export function counted(stage: Stage, s: Situation, as: Situation): Situation {
  return { ...s, config: s.config.map((v, i) => (stage.travels[i]?.full_turn ? v + 360 * Math.round(((as.config[i] ?? v) - v) / 360) : v)) };
}

/** between is the picture a share of the way from one situation to another. */
export function between(a: Situation, b: Situation, share: number): Situation {
  return {
    config: a.config.map((v, i) => v + ((b.config[i] ?? v) - v) * share),
    up: b.up,
    tools: share < 0.5 ? a.tools : b.tools,
    held: a.held.equals(b.held) ? b.held : a.held.clone().slerp(b.held, share),
  };
}

/** pace is how much there is to see between two situations, from a little to 1: how long it is shown. */
export function pace(stage: Stage, a: Situation, b: Situation): number {
  let most = a.held.equals(b.held) ? 0 : Math.min(1, a.held.angleTo(b.held));
  stage.travels.forEach((k, i) => {
    const range = k.full_turn ? 360 : k.hi - k.lo;
    if (range > 0) most = Math.max(most, Math.abs((b.config[i] ?? 0) - (a.config[i] ?? 0)) / range);
  });
  return 0.15 + 0.85 * Math.min(1, most);
}

/** absent lists the parts that are not in the box: the seats of tools that are empty. */
export function absent(stage: Stage, s: Situation): Set<number> {
  const out = new Set<number>();
  stage.tools.forEach((t, i) => t.seats.forEach((part, seat) => {
    if (seat !== s.tools[i]) out.add(part);
  }));
  return out;
}

// The meant way as strokes with the configurations between them.
import type { Proof, Stage } from "./wire";

/** One stroke of the meant way, with the configurations at its ends. */
export interface Leg {
  move: number;
  from: number[];
  to: number[];
  words: string;
}

/** legs are the strokes of the solution with the configurations between them. */
export function legs(stage: Stage | null, proof: Proof): Leg[] {
  if (!stage) return [];
  const out: Leg[] = [];
  let q = stage.start.slice();
  proof.document.solution.forEach((m, i) => {
    const extra = m.words.length - m.strokes.length; // what is done before any stroke, such as turning the box
    m.strokes.forEach((s, k) => {
      const part = stage.parts.findIndex((p) => p.name === (s.part ?? m.part));
      const t = stage.travels.findIndex((x) => x.part === part && x.name === s.travel);
      if (t < 0) return;
      const from = q.slice();
      from[t] = s.from;
      const to = from.slice();
      to[t] = s.to;
      out.push({ move: i, from, to, words: `${m.part} ${m.words[k + extra] ?? ""}` });
      q = to.slice();
    });
  });
  return out;
}

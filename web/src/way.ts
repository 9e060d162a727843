// The meant way as a line along which one can go back and forth.
import { between, follow, home, next, pace, type Situation } from "./situation";
import type { Proof, Stage } from "./wire";

/** One even stretch of the way. */
interface Leg {
  from: Situation;
  to: Situation;
  words: string;
  begins: number; // its place on the line
  long: number;
}

/** Track is the meant way, each stretch as long as there is something to see of it. */
export class Track {
  private readonly legs: Leg[] = [];
  /** marks are the places where a move begins or ends. */
  readonly marks: number[] = [0];
  long = 0;

  constructor(stage: Stage, proof: Proof) {
    let at = next(stage, home(stage), proof.from);
    proof.way.forEach((m, n) => {
      const said = m.words.join(", then ");
      follow(stage, at, m.frames).forEach((to, i) => {
        const long = pace(stage, at, to);
        this.legs.push({ from: at, to, words: `Move ${n + 1}: ${(m.kind === "hand" && m.frames[i]?.words) || said}`, begins: this.long, long });
        this.long += long;
        at = to;
      });
      this.marks.push(this.long);
    });
  }

  get empty(): boolean {
    return this.legs.length === 0;
  }

  /** at is the picture at a place of the line, and what happens there. */
  at(x: number): { now: Situation; words: string } | null {
    const leg = this.legs.filter((l) => l.begins < x).at(-1) ?? this.legs[0];
    if (!leg) return null;
    return { now: between(leg.from, leg.to, Math.min(1, Math.max(0, (x - leg.begins) / leg.long))), words: leg.words };
  }

  /** nearest is the mark nearest to a place. */
  nearest(x: number): number {
    return this.marks.reduce((best, m) => (Math.abs(m - x) < Math.abs(best - x) ? m : best), 0);
  }

  /** beside is the mark after a place, or the one before it. */
  beside(x: number, sign: number): number {
    const tiny = 1e-6;
    return sign > 0 ? (this.marks.find((m) => m > x + tiny) ?? this.long) : (this.marks.filter((m) => m < x - tiny).at(-1) ?? 0);
  }
}

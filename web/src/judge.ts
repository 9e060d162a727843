// How many moves are left from where the play stands, and whether it leaves the meant way.
import { ask, Refused } from "./ask";
import { fill } from "./dom";
import type { Play } from "./play";
import type { Onward } from "./wire";

export class Judge {
  private asking: AbortController | null = null;
  /** said is what stands beside the count of moves; a panel that is written anew takes it over. */
  said = "";

  constructor(private readonly play: Play) {}

  /** ask asks the program, and says it beside the count of moves; fewest is the least that is proved, null if none is. */
  async ask(fewest: number | null): Promise<void> {
    const out = () => document.getElementById("left");
    const say = (words: string) => {
      this.said = words;
      const e = out();
      if (e) fill(e, words);
    };
    this.asking?.abort();
    if (!out() || !this.play.stage) return;
    if (this.play.made.length === 0) {
      say(fewest === null ? "" : `The meant way has ${fewest} move${fewest === 1 ? "" : "s"}.`);
      return;
    }
    this.asking = new AbortController();
    say("Counting the moves that are left…");
    try {
      say(this.words(await ask<Onward>("POST", "/api/play/onward", this.play.spot(0), this.asking.signal), fewest));
    } catch (e) {
      if (!(e instanceof DOMException)) say(e instanceof Refused ? e.message : "How many moves are left could not be told.");
    }
  }

  private words(o: Onward, fewest: number | null): string {
    if ((!o.there && o.way.length === 0) || fewest === null) return o.words;
    const n = this.play.made.length;
    const more = n + o.way.length - fewest;
    if (more > 0) return `${o.words.replace(/\.$/, "")}. This leaves the meant way: ${more} ${more === 1 ? "move" : "moves"} more than its ${fewest}.`;
    return o.words + (o.there ? ` With ${n} moves; no way has fewer.` : ", on the meant way or one as short.");
  }
}

// What lies under the pointer, in words.
import { ask } from "./ask";
import { fill, find, round } from "./dom";
import type { Play } from "./play";
import type { Near, Travel } from "./wire";

export class Pointing {
  private part = -1;
  private asking: AbortController | null = null;

  constructor(private readonly play: Play) {}

  /** over names the part under the pointer, with its travels and clearance. */
  over(e: PointerEvent): void {
    const play = this.play;
    if (e.pointerType === "touch" || e.buttons !== 0 || play.playing) return;
    const part = play.view.under(e.clientX, e.clientY)?.part ?? -1;
    play.view.canvas.style.cursor = part >= 0 && play.byHand(part).length > 0 ? "grab" : "default";
    if (part === this.part) return;
    this.part = part;
    this.asking?.abort();
    const under = find("under");
    if (part < 0) {
      fill(under, "");
      return;
    }
    const words = stands(play, part);
    fill(under, words);
    this.asking = new AbortController();
    ask<Near>("POST", "/api/play/near", play.spot(part), this.asking.signal)
      .then((n) => {
        if (this.part === part) fill(under, `${words}; ${n.words}`);
      })
      .catch(() => undefined);
  }
}

/** stands tells where a part stands. */
export function stands(play: Play, part: number): string {
  const s = play.stage;
  const p = s?.parts[part];
  if (!s || !p) return "";
  if (p.frame) return `${p.name}, the frame`;
  const at = p.travels.map((t) => `${s.travels[t]?.name} ${round(play.now?.config[t] ?? 0)} ${s.travels[t]?.unit}${mover(s.travels[t])}`);
  return `${p.name}: ${at.length > 0 ? at.join(", ") : "does not travel by itself"}`;
}

/** mover says what moves a travel that the hand does not. */
export function mover(k: Travel | undefined): string {
  const by = { contact: "only pushed by another part", gravity: "only moved by its weight" }[k?.moved ?? ""];
  const spring = k?.springs ? "driven by a spring" : "";
  const words = [by, spring].filter((w) => w).join(", ");
  return words ? ` (${words})` : "";
}

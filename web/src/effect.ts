// What a change did, against the revision that the page began with: moves, window, grams,
// and, when it is asked for, how many prints will work.
import { ask, Refused } from "./ask";
import { el, fill, find, table } from "./dom";
import { figure } from "./figure";
import { button } from "./hand";
import type { Compared, Proof, WireEvent, YieldAsked, Yield as Foretold } from "./wire";

export class Effect {
  printers: string[] = [];
  private base: Proof | null = null;
  private now: Proof | null = null;
  private on = "";
  private chose = false;
  private asking: AbortController | null = null;
  private told: Foretold | null = null;
  private said = "";

  constructor(private readonly tab: () => string) {}

  /** mean takes the printer that the verdict is for, as long as no other was chosen. */
  mean(name: string): void {
    if (this.chose || this.asking || this.told) return;
    this.on = name;
  }

  /** begin forgets what was compared with: another design is opened. */
  begin(): void {
    this.stop();
    this.base = this.now = this.told = null;
    this.said = "";
    fill(find("compare"));
  }

  /** begun takes what later proofs are compared with, if nothing was taken yet: a param may be moved before it is all proved. */
  begun(p: Proof): void {
    if (this.base && this.base.id !== p.id) return;
    this.base = p;
  }

  /** proved sets the new proof beside the one begun with. */
  async proved(p: Proof): Promise<void> {
    if (this.now && this.now.id !== p.id) {
      this.stop(); // the prints of another revision
      this.told = null;
      this.said = "";
    }
    this.base ??= p;
    this.now = p;
    await this.show();
  }

  private async show(): Promise<void> {
    const { base, now } = this;
    if (!base || !now) return;
    let rows: HTMLElement | null = null;
    if (base.id !== now.id) {
      try {
        const c = await ask<Compared>("POST", "/api/compare", { before: base.id, after: now.id, on: this.on });
        if (this.now !== now) return;
        rows = table("What the change did", ["what", `where you began: ${c.before}`, `now: ${c.after}`, "change"], c.rows.map((r) => [r.name, r.before, r.after, r.change || "none"]));
      } catch (e) {
        if (!(e instanceof Refused)) return; // the program is shut; it is asked again with the next proof
        this.base = now; // it has forgotten the other
      }
    }
    this.write(rows);
  }

  private write(rows: HTMLElement | null): void {
    const pick = el("select", { id: "yield-on", "aria-label": "Printer", change: (e: Event) => { this.on = (e.target as HTMLSelectElement).value; this.chose = true; this.told = null; void this.show(); } },
      el("option", { value: "", selected: this.on === "" }, "an unknown printer"), ...this.printers.map((n) => el("option", { value: n, selected: n === this.on }, n)));
    fill(find("compare"), rows,
      rows ? button("rebase", "Begin from here", () => { this.base = this.now; void this.show(); }) : null,
      el("h3", {}, "How many prints will work"),
      el("div", { class: "row" }, pick, button("yield-ask", rows ? "Draw prints of both" : "Draw prints", () => void this.foretell()),
        el("span", { id: "yield-state", role: "status" }, this.said)),
      ...(this.told ? figure(this.told.figure, () => undefined) : []));
  }

  private stop(): void {
    this.asking?.abort();
    this.asking = null;
  }

  private say(words: string, ...more: HTMLElement[]): void {
    this.said = words;
    const s = document.getElementById("yield-state");
    if (s) fill(s, words, ...more);
  }

  /** foretell draws the prints of what is shown, and of what it began as. */
  private async foretell(): Promise<void> {
    const { base, now, on } = this;
    if (!base || !now) return;
    this.stop();
    const mine = new AbortController();
    this.asking = mine;
    this.say("Drawing prints; that may take minutes. ", button("yield-stop", "Stop", () => { this.stop(); this.say("Stopped."); }));
    try {
      this.told = await ask<Foretold>("POST", "/api/yields", { tab: this.tab(), proof: now.id, on } satisfies YieldAsked, mine.signal);
      if (base.id !== now.id) await ask<Foretold>("POST", "/api/yields", { tab: this.tab(), proof: base.id, on } satisfies YieldAsked, mine.signal);
      this.said = "";
    } catch (e) {
      if (mine.signal.aborted) return;
      this.said = e instanceof Refused ? e.message : "The program does not answer.";
    } finally {
      if (this.asking === mine) this.asking = null;
    }
    if (this.now === now && this.on === on) await this.show();
  }

  /** progress shows how far it is. */
  progress(e: WireEvent): void {
    if (!this.asking) return;
    const of = e.total && e.total > 1 ? `, ${e.done ?? 0} of ${e.total}` : "";
    const s = document.getElementById("yield-state");
    const stop = document.getElementById("yield-stop");
    if (s && stop) fill(s, `Drawing prints: ${e.step ?? ""}${of}. `, stop);
  }
}

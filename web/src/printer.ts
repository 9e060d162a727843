// The printer that the verdict is for: chosen beside the verdict, kept while the tab lives,
// and preferred in the workshop if that is wanted.
import { ask, Refused } from "./ask";
import { el, fill, find } from "./dom";
import { button } from "./hand";
import type { Bench, Preference, PrinterSetting, Proof, WireRange } from "./wire";

/** none is the word by which no printer is meant, whatever the workshop prefers. */
const none = "none";

export class Printer {
  private bench: Bench | null = null;
  private proof: Proof | null = null;
  private chosen = ""; // "" is what the workshop prefers
  private said = "";

  constructor(private readonly changed: () => void) {}

  private get key(): string {
    return `printer ${this.bench?.folder ?? ""}`;
  }

  /** around takes up the settings of the workshop; true if the verdict is for something else now. */
  around(b: Bench): boolean {
    const was = this.bench ? this.signature() : "";
    if (!this.bench) {
      try {
        this.bench = b;
        this.chosen = sessionStorage.getItem(this.key) ?? "";
      } catch {
        // the browser keeps nothing
      }
    }
    this.bench = b;
    if (this.chosen !== "" && this.chosen !== none && !this.setting(this.chosen)) this.choose("");
    this.write();
    return was !== "" && was !== this.signature();
  }

  private signature(): string {
    return JSON.stringify([this.on, this.setting(this.meant)]);
  }

  /** on is what the program is asked for. */
  get on(): string {
    return this.chosen;
  }

  /** meant is the name of the setting that is meant, "" for none. */
  get meant(): string {
    if (this.chosen === none) return "";
    return this.chosen || (this.bench?.preferred ?? "");
  }

  private setting(name: string): PrinterSetting | undefined {
    return this.bench?.settings.find((s) => s.name === name);
  }

  private choose(name: string): void {
    this.chosen = name;
    this.said = "";
    try {
      if (name === "") sessionStorage.removeItem(this.key);
      else sessionStorage.setItem(this.key, name);
    } catch {
      // the browser keeps nothing
    }
  }

  /** proved takes up which growths were asked. */
  proved(p: Proof): void {
    this.proof = p;
    this.words();
  }

  private write(): void {
    const b = this.bench;
    if (!b) return;
    const box = find("printer");
    box.hidden = false;
    const select = document.getElementById("for-printer") as HTMLSelectElement | null;
    const choices = [el("option", { value: none, selected: this.meant === "" }, "no printer in particular"),
      ...b.settings.map((s) => el("option", { value: s.name, selected: s.name === this.meant }, s.with && s.with !== s.name ? `${s.name} (${s.with})` : s.name))];
    if (select) {
      // what is there already stays, so that nobody who is choosing loses their place
      if ([...select.options].map((o) => o.text).join("|") !== choices.map((o) => o.text).join("|")) fill(select, ...choices);
      if (select.value !== (this.meant || none)) select.value = this.meant || none;
    } else {
      const pick = el("select", { id: "for-printer", "aria-describedby": "for-words", change: (e: Event) => {
        const v = (e.target as HTMLSelectElement).value;
        this.choose(v === (this.bench?.preferred || none) ? "" : v);
        this.words();
        this.changed();
      } }, ...choices);
      fill(box, el("p", { class: "row" }, el("label", { for: "for-printer" }, "The verdict is for prints on"), pick, el("span", { id: "for-prefer" })), el("p", { class: "soft", id: "for-words", role: "status" }));
    }
    this.words();
  }

  private words(): void {
    const b = this.bench;
    const out = document.getElementById("for-words");
    if (!b || !out) return;
    const s = this.setting(this.meant);
    const same = this.proof !== null && this.proof.on === this.meant;
    const g: WireRange = same && this.proof ? { lo_mm: this.proof.document.growth_asked.lo_mm, hi_mm: this.proof.document.growth_asked.hi_mm } : s && !b.fixed ? s.growth : b.growth;
    const range = `from ${signed(g.lo_mm)} to ${signed(g.hi_mm)} mm a surface`;
    let words: string;
    if (s && !b.fixed) words = `Asked ${range}: that holds the drawing, and 19 of 20 prints with ${s.with || s.name}.`;
    else if (s) words = `Asked ${range}, as the program was told.`;
    else if (b.settings.length > 0) words = `Asked ${range}, whatever the printer.`;
    else words = `Asked ${range}, until a printer is known: print a gauge, enter what it shows under Workshop and learn the printer from it.`;
    fill(out, this.said ? `${this.said} ${words}` : words);
    const offered = b.settings.length > 0 && this.meant !== b.preferred;
    const at = find("for-prefer");
    const label = offered ? (this.meant ? "Prefer it in this workshop" : "Prefer none in this workshop") : b.preferred ? "preferred in this workshop" : "";
    if (at.textContent === label) return; // so that it is not taken from under a finger
    fill(at, offered ? button("prefer", label, () => void this.prefer(this.meant)) : label || null);
  }

  /** prefer writes into the workshop which setting is meant where none is named. */
  private async prefer(name: string): Promise<void> {
    try {
      await ask<unknown>("PUT", "/api/printers/preferred", { name } satisfies Preference);
      if (this.bench) this.bench = { ...this.bench, preferred: name };
      this.choose("");
      this.said = name ? `Preferred from now on, by feint prove too.` : "No printer is preferred any more.";
    } catch (e) {
      if (!(e instanceof Refused) && !(e instanceof TypeError)) throw e;
      this.said = e instanceof Refused ? e.message : "The program does not answer, so nothing was preferred.";
    }
    this.words();
    (document.getElementById("prefer") ?? document.getElementById("for-printer"))?.focus();
  }
}

function signed(v: number): string {
  const s = v.toFixed(2);
  return v > 0 ? `+${s}` : s.replace(/^-0\.00$/, "0.00");
}

// The printers of the workshop: what is known of each, what its readings teach, with the
// fitted curve, and a form for what a gauge shows.
import { ask, Refused } from "./ask";
import { el, fill, find, options } from "./dom";
import { figure } from "./figure";
import { button } from "./hand";
import type { GaugeRow, LearnAsked, Learnt, Logged, ParamValue, PrinterRow, Printers as Known, ReadingGiven, ReadingsGiven, Workshop as Book } from "./wire";

export class Printers {
  private shown = "";
  private rows = 0;
  private book: Book | null = null;

  constructor(
    private readonly path: () => string,
    private readonly set: () => ParamValue[],
    private readonly undo: (deed: number) => Promise<void>,
    private readonly noted: () => void,
  ) {}

  section(b: Book): HTMLElement {
    this.book = b;
    this.shown = "";
    return el("div", { id: "printers" }, el("h3", {}, "Printers and gauges"), el("div", { id: "printers-known" }), el("div", { id: "learnt", role: "status" }), this.form());
  }

  /** names offers the printers and the like that the logbook knows. */
  names(b: Book): void {
    this.book = b;
    options(find<HTMLSelectElement>("found-printer"), "as last time", b.printers);
    options(find<HTMLSelectElement>("found-spool"), "as last time", b.spools);
    options(find<HTMLSelectElement>("found-nozzle"), "as last time", b.nozzles);
    options(find<HTMLSelectElement>("found-profile"), "as last time", b.profiles);
    if (find("found-rows").children.length === 0) this.row();
  }

  /** read shows what is known now; a picture that is the same stays. */
  async read(): Promise<void> {
    try {
      const k = await ask<Known>("GET", "/api/printers");
      const sign = JSON.stringify(k);
      const holder = document.getElementById("printers-known");
      if (!holder || sign === this.shown) return;
      this.shown = sign;
      fill(holder, ...(k.printers.length === 0 ? [el("p", { class: "soft" }, "No printer is known yet. Add one, print a gauge (under Files) and enter what it shows: the page then tells how far its surfaces stand proud.")] : k.printers.map((p, i) => this.one(p, i))));
    } catch (e) {
      const holder = document.getElementById("printers-known");
      if (e instanceof Refused && holder) fill(holder, el("p", { role: "alert", class: "wrong" }, e.message));
      else if (!(e instanceof TypeError)) throw e;
    }
  }

  private one(p: PrinterRow, i: number): HTMLElement {
    const known = p.setting ? `Growth in plane ${p.growth} mm a surface; 20 mm come out to ${p.grade}. From: ${p.from || "printers.toml"}.` : "Not learnt yet: it has no setting in printers.toml.";
    const name = `learn-name-${i}`;
    return el("section", { class: "printer", "aria-labelledby": `printer-${i}` },
      el("h4", { id: `printer-${i}` }, p.name, p.preferred ? " (preferred)" : ""),
      el("p", {}, p.with && p.with !== p.name ? `${p.with}. ` : "", known),
      p.learnt ? null : el("p", { class: "soft" }, p.words),
      ...(p.learnt ? [el("p", {}, `What ${p.readings} readings of the logbook teach${p.left > 0 ? `, ${p.left} more teach nothing` : ""}:`), ...figure(p.learnt, () => undefined)] : []),
      p.learnt ? el("form", { class: "row", submit: (e: Event) => { e.preventDefault(); void this.learn(p, find<HTMLInputElement>(name).value); } },
        el("label", { class: "pick", for: name }, "setting ", el("input", { type: "text", id: name, value: p.name, size: "20", autocomplete: "off", readonly: p.setting })),
        el("button", { type: "submit", id: `learn-${i}` }, p.setting ? "Learn it anew" : "Keep as a setting")) : null);
  }

  private async learn(p: PrinterRow, name: string): Promise<void> {
    try {
      const l = await ask<Learnt>("POST", "/api/printers", { name, printer: p.setting ? "" : p.name, spool: "", profile: "" } satisfies LearnAsked);
      fill(find("learnt"), ...l.words.map((w) => el("p", {}, w)));
      await this.read();
    } catch (e) {
      if (!(e instanceof Refused) && !(e instanceof TypeError)) throw e;
      fill(find("learnt"), el("p", { class: "wrong" }, e instanceof Refused ? e.message : "The program does not answer, so nothing was learnt."));
    }
  }

  private form(): HTMLElement {
    const choice = (id: string, words: string) => el("label", { class: "pick", for: id }, words, el("select", { id }));
    return el("form", { id: "found-form", submit: (e: Event) => { e.preventDefault(); void this.note(); } },
      el("h4", {}, "Enter what a gauge shows"),
      el("div", { class: "row" },
        el("label", { class: "pick", for: "found-gauge" }, "a print of its own: gauge ", el("input", { type: "text", id: "found-gauge", size: "18", value: "plain-ladder", autocomplete: "off" })),
        choice("found-printer", "on "), choice("found-spool", "spool "), choice("found-nozzle", "nozzle "), choice("found-profile", "profile ")),
      el("p", { class: "soft" }, "With no gauge named, the readings are of the last print of this design. Each is felt, stuck, tight, slides or loose, or measured; the ± is the half width in which you trust the size to lie with 95 %. Rows left empty are no readings."),
      el("div", { class: "wide", role: "group", "aria-label": "Readings" }, el("table", { class: "entry" }, el("caption", {}, "Readings"),
        el("thead", {}, el("tr", {}, ...["What", "place", "drawn, mm", "gap per side, mm", "it feels", "measured, mm", "±, mm"].map((h) => el("th", { scope: "col" }, h)))), el("tbody", { id: "found-rows" }))),
      el("div", { class: "row" }, button("found-more", "One more row", () => this.row()), el("button", { type: "submit", id: "found-send" }, "Note the readings")),
      el("div", { id: "found-said", role: "status" }));
  }

  /** row adds a row to the form. */
  private row(kind = "gap", place = "", nominal = "", gap = "", felt = true): void {
    const n = ++this.rows;
    const input = (name: string, words: string, value: string, off = false) => el("td", {}, el("input", { type: "text", inputmode: name === "place" ? "text" : "decimal", id: `found-${name}-${n}`, value, size: name === "place" ? 10 : 5, autocomplete: "off", disabled: off, "aria-label": `${words}, row ${n}` }));
    find("found-rows").append(el("tr", {},
      el("td", {}, el("select", { id: `found-kind-${n}`, "aria-label": `What, row ${n}`, change: (e: Event) => this.fit(n, (e.target as HTMLSelectElement).value === "gap") }, ...(this.book?.features ?? []).map((f) => el("option", { value: f, selected: f === kind }, f === "gap" ? "gap, felt" : f)))),
      input("place", "Place", place), input("nominal", "Drawn size", nominal), input("gap", "Gap per side", gap, !felt),
      el("td", {}, el("select", { id: `found-felt-${n}`, "aria-label": `It feels, row ${n}`, disabled: !felt }, el("option", { value: "" }, "—"), ...(this.book?.felts ?? []).map((f) => el("option", { value: f }, f)))),
      input("measured", "Measured", "", felt), input("u", "Uncertainty", felt ? "" : "0.06", felt)));
  }

  /** fit opens the fields that a kind of reading has. */
  private fit(n: number, felt: boolean): void {
    for (const [name, on] of [["gap", felt], ["felt", felt], ["measured", !felt], ["u", !felt]] as const) {
      const e = find<HTMLInputElement | HTMLSelectElement>(`found-${name}-${n}`);
      e.disabled = !on;
      if (!on) e.value = "";
    }
  }

  /** found fills the form with the places of a gauge. */
  found(g: GaugeRow): void {
    find<HTMLInputElement>("found-gauge").value = g.name;
    fill(find("found-rows"));
    const kinds: Record<string, string> = { hole: "bore", peg: "peg", length: "length", height: "height", wall: "wall" };
    for (const p of g.places) {
      const place = p.label === p.what ? p.what : `${p.what} ${p.label}`;
      if (p.felt) this.row("gap", place, p.nominal_mm > 0 ? String(Number(p.nominal_mm.toFixed(4))) : "", String(Number(p.gap_mm.toFixed(4))), true);
      else this.row(kinds[p.what] ?? "slot", place, String(Number(p.nominal_mm.toFixed(4))), "", false);
    }
    find("found-form").scrollIntoView({ block: "start" });
    find("found-printer").focus();
  }

  private read1(n: number): ReadingGiven | string | null {
    const v = (name: string) => (document.getElementById(`found-${name}-${n}`) as HTMLInputElement | HTMLSelectElement | null)?.value.trim() ?? "";
    if (!document.getElementById(`found-kind-${n}`) || (v("felt") === "" && v("measured") === "")) return null;
    const number = (name: string) => (v(name) === "" ? null : Number(v(name).replace(",", ".")));
    const r: ReadingGiven = { kind: v("kind"), feature: v("place"), nominal_mm: number("nominal"), gap_mm: number("gap"), measured_mm: number("measured"), uncertainty_mm: number("u"), felt: v("felt") };
    const wrong = [r.nominal_mm, r.gap_mm, r.measured_mm, r.uncertainty_mm].some((x) => x !== null && !Number.isFinite(x));
    return wrong ? `Row ${n}, ${r.feature}: a size is a number in mm, such as 7.84.` : r;
  }

  private async note(): Promise<void> {
    const v = (id: string) => find<HTMLInputElement | HTMLSelectElement>(id).value.trim();
    const readings: ReadingGiven[] = [];
    for (let n = 1; n <= this.rows; n++) {
      const r = this.read1(n);
      if (typeof r === "string") return this.say(r);
      if (r) readings.push(r);
    }
    try {
      const l = await ask<Logged>("POST", `${this.path()}/readings`, {
        gauge: v("found-gauge"), printer: v("found-printer"), nozzle: v("found-nozzle"), spool: v("found-spool"), profile: v("found-profile"), set: this.set(), readings,
      } satisfies ReadingsGiven);
      fill(find("found-rows"));
      this.row();
      this.say("");
      fill(find("found-said"), el("p", {}, [...l.words, readings.length === 1 ? "1 reading is kept." : `${readings.length} readings are kept.`].join(" ")),
        l.deed > 0 ? button("unfound", "Take that back", () => void this.undo(l.deed).then(() => fill(find("found-said"), "Taken back."))) : null);
      this.noted();
    } catch (e) {
      if (!(e instanceof Refused) && !(e instanceof TypeError)) throw e;
      this.say(e instanceof Refused ? e.message : "The program does not answer, so nothing was noted. What is typed stays here.");
    }
  }

  private say(words: string): void {
    document.getElementById("found-wrong")?.remove();
    if (words) find("found-form").append(el("p", { role: "alert", class: "wrong", id: "found-wrong" }, words));
  }
}

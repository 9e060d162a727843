// What can be taken from the page: the parts and plates to print, the assembled view, a
// cut-away, gauges, and the proof as a page. The program makes all of them.
import { ask, Refused } from "./ask";
import { el, fill, find, round, table } from "./dom";
import { button } from "./hand";
import type { Exported, ExportAsked, Fits, GaugeRow, GaugesAsked, Proof, Stage } from "./wire";

/** Around is what the files need of the rest of the page. */
export interface Around {
  /** cut is where the stage is cut, null if it is not. */
  cut(): { axis: string; at: number } | null;
  /** found goes to the form in which what a gauge shows is entered. */
  found(g: GaugeRow): void;
}

export class Files {
  private stage: Stage | null = null;
  private proof: Proof | null = null;
  private printers: string[] = [];

  constructor(private readonly around: Around) {}

  /** printersAre are the settings by which time and mass of gauges can be told. */
  printersAre(names: string[]): void {
    this.printers = names;
    const s = document.getElementById("gauge-on") as HTMLSelectElement | null;
    if (s) fill(s, ...this.settings(s.value));
  }

  private settings(chosen: string): HTMLElement[] {
    return [el("option", { value: "" }, "the preferred one, or a common printer"), ...this.printers.map((n) => el("option", { value: n, selected: n === chosen }, n))];
  }

  /** of shows what can be had of a stage; what was made of an earlier one is taken away. */
  of(s: Stage): void {
    const same = this.stage?.design === s.design && this.stage.parts.map((p) => p.name).join("|") === s.parts.map((p) => p.name).join("|");
    this.stage = s;
    if (same && document.getElementById("files-all")) {
      find<HTMLAnchorElement>("files-all").href = this.all();
      for (const id of ["files-made", "fits", "gauges-made"]) {
        this.going.get(id)?.abort(); // it is of the design as it was
        this.going.delete(id);
        fill(find(id));
      }
      fill(find("files-grams"), this.grams());
      return;
    }
    const f = find("files");
    f.hidden = false;
    f.setAttribute("aria-labelledby", "files-title");
    fill(f, el("h2", { id: "files-title" }, "Files"),
      el("p", {}, "All parts as STL and 3MF in print orientation, plates of 220 x 220 x 250 mm, and the assembled view; ", el("span", { id: "files-grams" }, this.grams()), " printed solid."),
      el("p", {}, el("a", { href: this.all(), id: "files-all", download: "" }, "Files to print (ZIP)"), " · ", el("span", { id: "report-link" })),
      el("h3", {}, "One by one, on your plate, or cut open"), this.form(), el("div", { id: "files-made" }),
      el("h3", {}, "Gauges"),
      el("p", {}, "Small prints cut from this design, which tell how large your printer prints: each some minutes and grams."),
      this.gaugeForm(), el("div", { id: "fits" }), el("div", { id: "gauges-made" }));
    this.links();
  }

  private all(): string {
    return `/api/stages/${this.stage?.id ?? ""}/files`;
  }

  private grams(): string {
    return `${round(this.stage?.grams ?? 0, 1)} g`;
  }

  /** proved takes up a finished proof, for its page to keep. */
  proved(p: Proof): void {
    this.proof = p;
    this.links();
  }

  private links(): void {
    const at = document.getElementById("report-link");
    if (at && this.proof) fill(at, el("a", { href: `/api/proofs/${this.proof.id}/report`, download: "" }, "The proof as a page to keep (HTML)"));
  }

  private form(): HTMLElement {
    const s = this.stage;
    const mid = (k: number) => (s ? round(((s.box_mm[0][k] ?? 0) + (s.box_mm[1][k] ?? 0)) / 2, 1) : "0");
    const axis = el("select", { id: "files-cut", change: () => { at.value = mid("xyz".indexOf(axis.value)); this.cutShown(); } },
      el("option", { value: "" }, "whole"), ...["x", "y", "z"].map((a) => el("option", { value: a }, `cut across ${a}`)), el("option", { value: "plane" }, "cut along another plane"));
    const at = el("input", { type: "number", id: "files-at", step: "any", value: mid(0) });
    const parts = s?.parts.filter((p) => !p.frame) ?? [];
    return el("form", { id: "files-form", submit: (e: Event) => { e.preventDefault(); void this.make(); } },
      el("div", { class: "row" },
        el("label", { class: "pick", for: "files-plate" }, "plate, mm ", el("input", { type: "text", id: "files-plate", size: "12", value: "220x220x250", autocomplete: "off" })),
        el("label", { class: "pick", for: "files-cut" }, "the box ", axis),
        button("files-stage", "Cut as on the stage", () => this.asStage())),
      el("div", { class: "row", id: "files-across", hidden: true },
        el("label", { class: "pick", for: "files-at" }, "at, mm ", at),
        el("label", { class: "pick", for: "files-side" }, "what goes ", el("select", { id: "files-side" }, el("option", { value: "1" }, "the side of larger values"), el("option", { value: "-1" }, "the side of smaller values")))),
      el("div", { class: "row", id: "files-free", hidden: true },
        el("label", { class: "pick", for: "files-plane" }, "a, b, c, d of ax + by + cz = d, mm; what lies beyond goes ", el("input", { type: "text", id: "files-plane", size: "16", value: "1, 1, 0, 0", autocomplete: "off" }))),
      el("fieldset", { class: "row", id: "files-parts", hidden: true }, el("legend", {}, "Cut through as well as the frame"), ...parts.map((p, i) => el("span", { class: "pick" },
        el("input", { type: "checkbox", id: `files-part-${i}`, value: p.name }), el("label", { for: `files-part-${i}` }, p.name)))),
      el("div", { class: "row" }, el("button", { type: "submit", id: "files-make" }, "Make the files")));
  }

  private cutShown(): void {
    const v = find<HTMLSelectElement>("files-cut").value;
    find("files-across").hidden = v === "" || v === "plane";
    find("files-free").hidden = v !== "plane";
    find("files-parts").hidden = v === "";
  }

  private asStage(): void {
    const c = this.around.cut();
    const axis = find<HTMLSelectElement>("files-cut");
    axis.value = c?.axis ?? "";
    if (c) {
      find<HTMLInputElement>("files-at").value = round(c.at, 2);
      find<HTMLSelectElement>("files-side").value = c.axis === "y" ? "-1" : "1"; // what lies towards the eye goes
    }
    this.cutShown();
  }

  /** cut is the plane as the program reads it. */
  private cut(): string {
    const axis = find<HTMLSelectElement>("files-cut").value;
    if (axis === "") return "";
    if (axis === "plane") return find<HTMLInputElement>("files-plane").value;
    const at = find<HTMLInputElement>("files-at").value || "0";
    if (find<HTMLSelectElement>("files-side").value === "1") return `${axis}=${at}`;
    return [...["x", "y", "z"].map((a) => (a === axis ? "-1" : "0")), String(-Number(at))].join(",");
  }

  private async make(): Promise<void> {
    const cut = this.cut();
    const parts = cut === "" ? [] : [...document.querySelectorAll<HTMLInputElement>("#files-parts input:checked")].map((e) => e.value);
    await this.made("files-made", "Making the files…", (stop) => ask<Exported>("POST", `/api/stages/${this.stage?.id ?? ""}/exports`,
      { plate: find<HTMLInputElement>("files-plate").value, cut, parts } satisfies ExportAsked, stop));
  }

  /** made shows what comes of a question for files, or why nothing did. */
  private made(id: string, wait: string, question: (stop: AbortSignal) => Promise<Exported>): Promise<void> {
    return this.wait(id, wait, async (stop) => this.list(await question(stop)));
  }

  private readonly going = new Map<string, AbortController>();

  /** wait puts what comes of a question in a place of the page; it can be stopped, and a newer one stops it. */
  private async wait(id: string, words: string, question: (stop: AbortSignal) => Promise<HTMLElement[]>): Promise<void> {
    const out = find(id);
    this.going.get(id)?.abort();
    const c = new AbortController();
    this.going.set(id, c);
    fill(out, el("div", { class: "row" }, el("p", { role: "status" }, words), button(`${id}-stop`, "Stop", () => c.abort())));
    let shown: HTMLElement[];
    try {
      shown = await question(c.signal);
    } catch (e) {
      if (c.signal.aborted) shown = [el("p", { role: "status" }, "Stopped; nothing was made.")];
      else shown = [el("p", { role: "alert", class: "wrong" }, e instanceof Refused ? e.message : "The program does not answer; ask again when it is back.")];
    }
    if (this.going.get(id) !== c) return;
    this.going.delete(id);
    fill(out, ...shown);
  }

  private list(e: Exported): HTMLElement[] {
    const size = (n: number) => (n < 1000 ? `${n} bytes` : n < 1e6 ? `${Math.round(n / 1e3)} kB` : `${(n / 1e6).toFixed(1)} MB`);
    const at = `/api/exports/${e.id}`;
    return [
      ...e.notes.map((n) => el("p", {}, n)),
      ...e.gauges.map((g) => this.gauge(g)),
      el("p", {}, el("a", { href: `${at}/zip`, download: "", class: "zip" }, `All ${e.files.length} files (ZIP)`)),
      table(e.gauges.length > 0 ? "Files of the gauges" : "Files to print", ["File", "what it is", "size"],
        e.files.map((f, i) => [el("a", { href: `${at}/files/${i + 1}`, download: "" }, f.name), f.what, size(f.bytes)])),
    ];
  }

  private gaugeForm(): HTMLElement {
    return el("form", { id: "gauge-form", submit: (e: Event) => { e.preventDefault(); void this.gauges(); } },
      el("div", { class: "row" },
        el("label", { class: "pick", for: "gauge-most" }, "of the tightest fits ", el("input", { type: "number", id: "gauge-most", min: 0, max: 12, step: 1, value: 3 })),
        el("span", { class: "pick" }, el("input", { type: "checkbox", id: "gauge-plain", checked: true }), el("label", { for: "gauge-plain" }, "and the plain ladder, a peg and round holes")),
        el("label", { class: "pick", for: "gauge-gaps" }, "gaps per side, mm ", el("input", { type: "text", id: "gauge-gaps", size: "18", placeholder: "round the drawn gap", autocomplete: "off" })),
        el("label", { class: "pick", for: "gauge-on" }, "printed on ", el("select", { id: "gauge-on" }, ...this.settings("")))),
      el("div", { class: "row" }, button("fits-find", "Choose the fits", () => void this.find()), el("button", { type: "submit", id: "gauges-cut" }, "Cut the gauges")));
  }

  private async find(): Promise<void> {
    await this.wait("fits", "Looking where parts slide in each other…", async (stop) => {
      const f = await ask<Fits>("GET", `/api/stages/${this.stage?.id ?? ""}/fits`, undefined, stop);
      if (f.fits.length === 0) return [el("p", {}, "No fit was found: nothing in this design slides within 0.6 mm per side.")];
      return [table("Fits, the tightest first", ["Gauge", "of", "shape", "wide", "drawn gap per side", "alike"], f.fits.map((k) => [
        el("span", { class: "pick" }, el("input", { type: "checkbox", id: `fit-${k.number}`, value: k.number }), el("label", { for: `fit-${k.number}` }, String(k.number))),
        `${k.inner} in ${k.outer}`, k.round ? "round hollow" : "between walls", `${round(k.wide_mm)} mm`, `${round(k.gap_mm)} mm`, k.alike > 0 ? `and ${k.alike} more` : "",
      ]))];
    });
  }

  private async gauges(): Promise<void> {
    const fits = [...document.querySelectorAll<HTMLInputElement>("#fits input:checked")].map((e) => Number(e.value));
    const gaps = numbers(find<HTMLInputElement>("gauge-gaps").value);
    if (!gaps) {
      fill(find("gauges-made"), el("p", { role: "alert", class: "wrong" }, "The gaps: write them in mm with spaces between, such as 0.1 0.15 0.2."));
      return;
    }
    await this.made("gauges-made", "Cutting the gauges…", (stop) => ask<Exported>("POST", `/api/stages/${this.stage?.id ?? ""}/gauges`, {
      fits, most: fits.length > 0 ? 0 : Number(find<HTMLInputElement>("gauge-most").value), gaps_mm: gaps,
      plain: find<HTMLInputElement>("gauge-plain").checked, on: find<HTMLSelectElement>("gauge-on").value,
    } satisfies GaugesAsked, stop));
  }

  private gauge(g: GaugeRow): HTMLElement {
    return el("div", { class: "gauge" }, el("h4", {}, g.title),
      el("p", {}, `About ${Math.round(g.minutes)} minutes and ${round(g.grams, 1)} g by feint's estimate. Print with the settings of the box, nothing scaled. Small pieces: keep them from small children.`),
      ...g.notes.map((n) => el("p", { class: "soft" }, n)),
      el("details", {}, el("summary", {}, `What to do with its ${g.places.length} places`), el("ul", {}, ...g.places.map((p) => el("li", {}, p.do)))),
      el("p", { class: "row" }, el("button", { type: "button", class: "enter-found", click: () => this.around.found(g) }, `Enter what ${g.name} shows`)));
  }
}

/** numbers reads a list, with points or with commas as decimal signs; null if it is none. */
function numbers(text: string): number[] | null {
  const list = text.trim() === "" ? [] : text.trim().split(text.includes(".") ? /[\s,;]+/ : /[\s;]+/).map((t) => Number(t.replace(",", ".")));
  return list.every((v) => Number.isFinite(v)) ? list : null;
}

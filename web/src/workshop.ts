// The workshop's memory: prints of this design, what came of them, and a line to
// note another in half a minute.
import { ask, Refused } from "./ask";
import { el, fill, find, table } from "./dom";
import { button } from "./play";
import type { Logged, ParamValue, Stage, Workshop as Book } from "./wire";

export class Workshop {
  private stage: Stage | null = null;
  private deed = 0;
  private said: string[] = [];
  private names = "";

  design(s: Stage): void {
    const same = this.stage?.design === s.design;
    this.stage = s;
    if (!same) void this.read();
  }

  private path(): string {
    return `/api/workshop/${encodeURIComponent(this.stage?.design ?? "")}`;
  }

  /** read shows the logbook as it is now; what is being typed stays. */
  async read(): Promise<void> {
    if (!this.stage) return;
    this.show(await ask<Book>("GET", this.path()));
  }

  private show(b: Book): void {
    const s = find("workshop");
    s.hidden = false;
    s.setAttribute("aria-labelledby", "workshop-title");
    const title = el("h2", { id: "workshop-title" }, "Workshop");
    if (!b.there) {
      fill(s, title, el("p", {}, "This workshop has no logbook yet. It keeps prints, readings, photos and faults in one file in the workshop folder."),
        button("begin-log", "Begin a logbook", () => void ask("POST", "/api/workshop", {}).then(() => this.read())));
      return;
    }
    const names = b.printers.join("|");
    if (!document.getElementById("log-form") || names !== this.names) {
      const typed = (document.getElementById("log-line") as HTMLInputElement | null)?.value ?? "";
      fill(s, title, this.form(b, typed), el("div", { id: "logged", role: "status" }), el("div", { id: "log-tables" }));
    }
    this.names = names;
    fill(find("log-tables"), ...this.tables(b));
    this.tell();
  }

  private form(b: Book, typed: string): HTMLElement {
    const field = (id: string, words: string, attrs: Record<string, string>) => el("label", { class: "pick", for: id }, words, el("input", { id, ...attrs, input: () => this.compose() }));
    const line = el("input", { type: "text", id: "log-line", value: typed, class: "line", autocomplete: "off", "aria-describedby": "log-help" });
    return el("form", {
      id: "log-form", submit: (e: Event) => { e.preventDefault(); void this.note(); },
    },
      el("h3", {}, "Note a print"),
      el("div", { class: "row" },
        field("log-min", "minutes ", { type: "number", min: "0", step: "1" }), field("log-grams", "grams ", { type: "number", min: "0", step: "any" }),
        el("label", { class: "pick", for: "log-outcome" }, "it ", el("select", { id: "log-outcome", change: () => this.compose() }, el("option", { value: "" }, "not known yet"), ...b.outcomes.map((o) => el("option", { value: o }, o)))),
        field("log-place", "where ", { type: "text", size: "10" }),
        b.printers.length > 0 ? el("label", { class: "pick", for: "log-printer" }, "on ", el("select", { id: "log-printer", change: () => this.compose() }, el("option", { value: "" }, "as last time"), ...b.printers.map((o) => el("option", { value: o }, o)))) : null),
      el("label", { for: "log-line" }, "As a line, which can say more "), line,
      el("div", { class: "row" }, el("button", { type: "submit", id: "log-send" }, "Note it")),
      el("details", {}, el("summary", {}, "What a line can say"), el("pre", { id: "log-help", tabindex: "0" }, b.help)));
  }

  /** compose writes the line from the fields. */
  private compose(): void {
    const v = (id: string) => (document.getElementById(id) as HTMLInputElement | HTMLSelectElement | null)?.value.trim() ?? "";
    const out: string[] = [];
    if (v("log-min")) out.push(`${v("log-min")} min`);
    if (v("log-grams")) out.push(`${v("log-grams")} g`);
    if (v("log-outcome")) out.push(v("log-outcome") + (v("log-place") ? ` at ${v("log-place")}` : ""));
    if (v("log-printer")) out.push(`on ${v("log-printer")}`);
    find<HTMLInputElement>("log-line").value = out.join(", ");
  }

  private async note(): Promise<void> {
    const line = find<HTMLInputElement>("log-line");
    const set: ParamValue[] = (this.stage?.params ?? []).filter((p) => p.value !== p.default).map((p) => ({ name: p.name, value: p.value }));
    try {
      const l = await ask<Logged>("POST", `${this.path()}/lines`, { line: line.value, set });
      line.value = "";
      this.said = l.words;
      this.deed = l.deed;
      await this.read();
    } catch (e) {
      if (!(e instanceof Refused)) throw e;
      this.said = [e.message];
      this.deed = 0;
      this.tell();
    }
  }

  private tell(): void {
    const out = document.getElementById("logged");
    if (!out) return;
    const deed = this.deed;
    fill(out, ...this.said.map((w) => el("p", {}, w)),
      deed > 0 ? button("unlog", "Take that back", () => void ask("POST", "/api/undo", { deed }).then(() => { this.said = ["Taken back."]; this.deed = 0; return this.read(); })) : null);
  }

  private tables(b: Book): HTMLElement[] {
    const out: HTMLElement[] = [];
    const num = (v: number | null, unit: string) => (v === null ? "" : `${v} ${unit}`);
    if (b.trials.length === 0) out.push(el("p", { class: "soft" }, "No print of this design is noted yet."));
    else {
      out.push(table("Prints, the newest first", ["Trial", "when", "revision", "with", "outcome", "time", "mass", "noted", "photos"], b.trials.map((t) => [
        String(t.id), t.at, String(t.revision), t.with, t.outcome || "not known yet", num(t.minutes, "min"), num(t.grams, "g"), t.words, this.photos(t.id, t.photos),
      ])));
    }
    if (b.revisions.length > 0) {
      out.push(table("The tree of revisions", ["Revision", "when", "verdict", "prints", "note"], b.revisions.map((r) => [
        `${"· ".repeat(Math.max(0, r.depth))}${r.number}`, r.at, r.verdict || "not kept", String(r.trials), r.note,
      ])));
    }
    if (b.faults.length > 0) out.push(table("Faults once seen", ["Fault", "when", "what"], b.faults.map((f) => [String(f.id), f.at, f.words])));
    if (b.checks.length > 0) out.push(table("Standing checks: what every later revision must keep", ["Check", "what"], b.checks.map((c) => [String(c.id), c.words])));
    return out;
  }

  private photos(trial: number, ids: number[]): HTMLElement {
    const id = `photo-of-${trial}`;
    return el("span", {}, ...ids.map((p, i) => el("img", { src: `/api/photos/${p}`, alt: `Photo ${i + 1} of trial ${trial}`, class: "photo", loading: "lazy" })),
      el("label", { for: id, class: "soft" }, "add "), el("input", {
        type: "file", id, accept: "image/*", "aria-label": `Add a photo of trial ${trial}`,
        change: (e: Event) => void this.send(trial, (e.target as HTMLInputElement).files?.[0]),
      }));
  }

  private async send(trial: number, file: File | undefined): Promise<void> {
    if (!file) return;
    const res = await fetch(`/api/trials/${trial}/photos`, { method: "POST", body: file, credentials: "same-origin" });
    this.said = res.ok ? ["The photo is kept."] : [((await res.json()) as { message: string }).message];
    this.deed = 0;
    await this.read();
  }
}

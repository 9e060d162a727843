// One record of the logbook, to be put right later: its fields, what it was before, and
// what was done to the logbook at all. Every change is a deed that can be taken back.
import { ask, Refused } from "./ask";
import { el, fill, find, table, when } from "./dom";
import { button } from "./hand";
import type { Deeds, Done, WireRecord, RecordSet } from "./wire";

/** Fields that feint itself keeps, and that nobody changes. */
const kept = new Set(["id", "sha256", "media", "bytes", "width", "height", "design", "number"]);

export class Records {
  private open: { kind: string; id: number } | null = null;

  /** choices are the words that some fields take. */
  choices: Record<string, string[]> = {};

  constructor(private readonly changed: (words: string, deed: number) => void) {}

  /** edit is a button that opens a record. */
  edit(kind: string, id: number, words = "Edit"): HTMLElement {
    return el("button", { type: "button", class: "small", id: `edit-${kind}-${id}`, "aria-label": `${words} ${kind} ${id}`, click: () => void this.show(kind, id) }, words);
  }

  private path(): string {
    return `/api/records/${this.open?.kind ?? ""}/${this.open?.id ?? 0}`;
  }

  /** show opens a record in its place below the tables. */
  async show(kind: string, id: number): Promise<void> {
    this.open = { kind, id };
    const out = find("record");
    try {
      const r = await ask<WireRecord>("GET", this.path());
      fill(out, el("h3", { id: "record-title", tabindex: "-1" }, `${kind} ${id}`), this.form(r), ...this.past(r));
      find("record-title").focus();
      out.scrollIntoView({ block: "nearest" });
    } catch (e) {
      if (!(e instanceof Refused)) throw e;
      fill(out, el("p", { role: "alert", class: "wrong" }, e.message));
    }
  }

  /** close takes the record away; its button has the focus again. */
  private close(): void {
    const from = this.open;
    this.open = null;
    fill(find("record"));
    if (from) document.getElementById(`edit-${from.kind}-${from.id}`)?.focus();
  }

  private form(r: WireRecord): HTMLElement {
    const fields = r.fields.filter((f) => !kept.has(f.name) && !(r.kind === "revision" && f.name === "params"));
    return el("form", { id: "record-form", submit: (e: Event) => { e.preventDefault(); void this.save(r); } },
      ...fields.map((f) => {
        const id = `field-${f.name}`;
        const list = f.name === "rests" || f.name === "retired" || f.name === "gave_up" ? ["", "yes"] : this.choices[f.name];
        const input = list
          ? el("select", { id, name: f.name }, ...(list.includes("") ? list : ["", ...list]).map((o) => el("option", { value: o, selected: o === f.value }, o || "—")))
          : el("input", { type: "text", id, name: f.name, value: f.value, autocomplete: "off" });
        return el("div", { class: "field" }, el("label", { for: id }, f.name.replaceAll("_", " ")), input);
      }),
      el("div", { class: "row" }, el("button", { type: "submit", id: "record-save" }, "Save"), button("record-close", "Close", () => this.close()),
        button("record-drop", `Remove this ${r.kind}`, () => void this.drop())));
  }

  private past(r: WireRecord): HTMLElement[] {
    if (r.past.length === 0) return [];
    return [table("What it was, the newest change first", ["Deed", "when", "done", "before"], r.past.map((p) => [
      p.deed > 0 ? String(p.deed) : "another program", when(p.at), `${p.act}: ${p.what}`, p.before.map((f) => `${f.name.replaceAll("_", " ")} ${f.value || "empty"}`).join("; "),
    ]))];
  }

  private async save(r: WireRecord): Promise<void> {
    const set: string[] = [];
    for (const f of r.fields) {
      const e = document.getElementById(`field-${f.name}`) as HTMLInputElement | HTMLSelectElement | null;
      if (e && e.value !== f.value) set.push(`${f.name}=${e.value}`);
    }
    await this.did(() => ask<Done>("PUT", this.path(), { set } satisfies RecordSet), set.length > 0 ? "Changed." : "Nothing was changed.");
  }

  private async drop(): Promise<void> {
    await this.did(() => ask<Done>("DELETE", this.path()), "Removed; the history keeps it.");
  }

  private async did(question: () => Promise<Done>, words: string): Promise<void> {
    try {
      const d = await question();
      this.close();
      this.changed(words, d.deed);
    } catch (e) {
      const old = document.getElementById("record-wrong");
      old?.remove();
      find("record").append(el("p", { role: "alert", class: "wrong", id: "record-wrong" }, e instanceof Refused ? e.message : "The program does not answer, so nothing was changed. What is typed stays here."));
    }
  }

  /** deeds lists what was done to the logbook. */
  async deeds(holder: HTMLElement): Promise<void> {
    const d = await ask<Deeds>("GET", "/api/history");
    fill(holder, table("What was done to the logbook, the newest first", ["Deed", "when", "what", "records", ""], d.deeds.map((k) => [
      String(k.id), when(k.at), k.what, String(k.rows),
      k.undone > 0 ? `taken back by deed ${k.undone}` : button(`undo-${k.id}`, k.undoes > 0 ? "Do it again" : "Take back", () => void this.undo(k.id)),
    ])));
  }

  async undo(deed: number): Promise<void> {
    try {
      await ask("POST", "/api/undo", { deed });
      this.changed("Taken back.", 0);
    } catch (e) {
      this.changed(e instanceof Refused ? e.message : "The program does not answer, so nothing was taken back.", 0);
    }
  }
}

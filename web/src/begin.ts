// Beginning a design: a name, and the program writes a small box that works.
import { ask, Refused } from "./ask";
import { el, fill, find } from "./dom";
import type { NewDesign, WireText } from "./wire";

export class Begin {
  private readonly name = el("input", { id: "new-name", type: "text", required: true, maxlength: 64, autocomplete: "off", autocapitalize: "off", spellcheck: "false", "aria-describedby": "new-help new-trouble", input: () => this.trouble("") });
  private readonly form = el("form", { id: "new-design", novalidate: true, submit: (e: Event) => void this.make(e) },
    el("p", { id: "new-help", class: "soft" }, "It begins as a small box that works, with notes for who has never programmed; change whatever you like. The name has letters, digits, - and _ only and begins with a letter."),
    el("div", { class: "row" },
      el("label", { for: "new-name" }, "Name of the design"), this.name,
      el("button", { type: "submit", id: "new-make" }, "Make it")),
    el("p", { id: "new-trouble", role: "alert" }));

  /** made is called with the file that was made. */
  constructor(private readonly made: (design: string) => Promise<void>) {}

  /** first offers it alone, in a workshop without a design; else it lies below the design file. */
  show(first: boolean): void {
    find("begin").hidden = !first;
    const rest = document.getElementById("another");
    if (first) fill(find("begin"), el("h2", { id: "begin-title" }, "Begin a design"), this.form);
    else if (rest && !rest.contains(this.form)) rest.append(this.form);
  }

  private trouble(words: string): void {
    fill(find("new-trouble"), words);
    this.name.setAttribute("aria-invalid", String(words !== ""));
  }

  private async make(e: Event): Promise<void> {
    e.preventDefault();
    try {
      const t = await ask<WireText>("POST", "/api/designs", { name: this.name.value.trim().replace(/\.star$/, "") } satisfies NewDesign);
      this.name.value = "";
      this.trouble("");
      await this.made(t.design);
    } catch (err) {
      if (err instanceof TypeError) this.trouble("The program does not answer, so nothing was made.");
      else if (err instanceof Refused) this.trouble(err.message);
      else throw err;
      this.name.focus();
    }
  }
}
